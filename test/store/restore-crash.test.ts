import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test, vi } from 'vitest';
import { copyStore, putBackup } from '../../collector-service/store/backup.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { batch, expectedOf } from './batches.ts';
import { temporaryFolder } from './folders.ts';
import { inside, rowsOf } from './inside.ts';

/** Called before every step that changes a file or a name. */
const { steps } = vi.hoisted(() => ({ steps: { before: (_what: string) => {} } }));

vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>();
  const changing = ['copyFileSync', 'linkSync', 'renameSync', 'rmSync', 'chmodSync'] as const;
  const wrapped = changing.map((name) => [
    name,
    (...args: unknown[]) => {
      steps.before(name);
      return (fs[name] as (...args: unknown[]) => unknown)(...args);
    },
  ]);
  const all = { ...fs, ...Object.fromEntries(wrapped) };
  return { ...all, default: all };
});

const { folder, remove } = temporaryFolder();
const crashes = mkdtempSync(join(tmpdir(), 'sunsteep-crashes-'));
afterAll(() => {
  remove();
  rmSync(crashes, { recursive: true });
});

test('a crash at any step leaves the old store or the new one, whole', async () => {
  const store = openStore(folder);
  await store.keep(batch('kowhai', 0));
  const backup = join(folder, 'backup.db');
  copyStore(folder, backup);
  await store.keep(batch('kowhai', 1));
  // as a kill leaves it: what was kept last stands in the log alone
  const killed = join(crashes, 'killed');
  cpSync(folder, killed, { recursive: true });
  await store.close();

  const seen: string[] = [];
  steps.before = (what) => {
    const { before } = steps;
    steps.before = () => {};
    cpSync(killed, join(crashes, String(seen.length)), { recursive: true });
    seen.push(what);
    steps.before = before;
  };
  putBackup(backup, killed, 'then');
  steps.before = () => {};
  cpSync(killed, join(crashes, String(seen.length)), { recursive: true });

  const [old, restored] = [expectedOf('kowhai', [0, 1]), expectedOf('kowhai', [0])];
  const found = [...seen, 'done'].map((what, n) => {
    const crashed = join(crashes, String(n));
    const rows = inside(crashed, rowsOf);
    const isOld = rows.size === old.size;
    expect(rows, `before step ${n}, ${what}`).toEqual(isOld ? old : restored);
    return isOld;
  });
  console.log(
    `${found.length} moments: ${found.filter((isOld) => isOld).length} with the old store`,
  );
  expect(seen).toContain('renameSync');
  expect(found[0]).toBe(true);
  expect(found.at(-1)).toBe(false);
  // what a crash left behind hinders no later attempt
  for (const n of seen.keys()) {
    const crashed = join(crashes, String(n));
    putBackup(backup, crashed, 'again');
    expect(inside(crashed, rowsOf)).toEqual(restored);
  }
});

test('a step that fails leaves the store as it was, and can be tried again', async () => {
  const { folder: from, remove: removeFrom } = temporaryFolder();
  const store = openStore(from);
  await store.keep(batch('kowhai', 0));
  const backup = join(from, 'backup.db');
  copyStore(from, backup);
  await store.keep(batch('kowhai', 1));
  await store.close();
  const [old, restored] = [expectedOf('kowhai', [0, 1]), expectedOf('kowhai', [0])];
  const told = new Map<string, number>();
  for (let failing = 0, failed = true; failed; failing++) {
    const place = join(crashes, `failing-${failing}`);
    cpSync(from, place, { recursive: true });
    failed = false;
    let step = 0;
    steps.before = (what) => {
      if (step++ !== failing) return;
      failed = true;
      throw Object.assign(new Error(`no room for ${what}`), { code: 'ENOSPC' });
    };
    let outcome = 'done';
    try {
      putBackup(backup, place, 'then');
    } catch (error) {
      outcome = String((error as { code?: string }).code);
    }
    steps.before = () => {};
    told.set(outcome, (told.get(outcome) ?? 0) + 1);
    const rows = inside(place, rowsOf);
    expect(rows, `step ${failing}: ${outcome}`).toEqual(outcome === 'done' ? restored : old);
    putBackup(backup, place, 'again');
    expect(inside(place, rowsOf)).toEqual(restored);
  }
  console.log('outcomes of failures at each step:', Object.fromEntries(told));
  expect(told.get('done')).toBeGreaterThan(0);
  expect([...told.keys()].sort()).toEqual(['SUNSTEEP_STORE_DISK_FULL', 'done']);
  removeFrom();
});
