import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { putBackup } from '../../collector-service/store/backup.ts';
import { STORE_FILE } from '../../collector-service/store/database.ts';
import { migrations } from '../../collector-service/store/schema.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { Watch } from '../../collector-service/watch/watch.ts';
import type { Day } from '../../model/shapes.ts';
import { expectSound, inside, rowsOf } from './inside.ts';
import { END, readings, START } from './versions/kept.ts';
import { type DayShapes, dayShapes, differences } from './versions/shape.ts';

/** Stores as older programs left them; `versions/make.ts` made each, with the program of its time. */
const stores = join(import.meta.dirname, 'versions');
const versions = migrations.map((_, n) => n + 1);

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'sunsteep-versions-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

const unpack = (version: number, file: string) =>
  writeFileSync(file, gunzipSync(readFileSync(join(stores, `schema-${version}.db.gz`))));

const kept = new Map(readings().map(({ tub, point, t, value }) => [`${tub} ${point} ${t}`, value]));

/** The days as they are once all that a migration left open has been worked out. */
async function daysOf(where: string): Promise<Day[]> {
  const store = openStore(where);
  const failures: unknown[] = [];
  const watch = new Watch({
    ...{ store, clock: { now: () => END }, earlier: () => new Map() },
    failed: (error) => failures.push(error),
  });
  await watch.start();
  await watch.settled();
  const days = (await watch.days('kowhai'))!;
  await watch.stop();
  expect(failures).toEqual([]);
  expect(await store.dirty()).toEqual([]);
  await store.close();
  return days;
}

test('a store of every schema version is kept', () => {
  const files = readdirSync(stores).filter((name) => name.endsWith('.gz'));
  const make = 'make the newest with: node --import tsx test/store/versions/make.ts';
  expect(files.sort(), make).toEqual(versions.map((version) => `schema-${version}.db.gz`));
});

const tables = ['day', 'day_facts'] as const;
const hint =
  'days that have another shape need a step in schema.ts that has all of them worked out again; then ' +
  'node --import tsx test/store/versions/make-shape.ts writes the new shape down';

test('what is kept of days has the shape that was written down for this schema', async () => {
  const written = join(stores, `days-${migrations.length}.json`);
  expect(existsSync(written), hint).toBe(true);
  const before: DayShapes = JSON.parse(readFileSync(written, 'utf8'));
  const store = openStore(folder);
  const now = await dayShapes(store, folder);
  await store.close();
  const changed = tables.flatMap((table) => differences(before[table], now[table], table));
  expect(changed, hint).toEqual([]);
});

test('a part of a day that is new, gone or something else is a difference', () => {
  const of = (is: string, holds = {}) => ({ is: [is], holds });
  const day = (parts: object) => of('record', { night: of('record', parts) });
  const was = day({ lossW: of('number'), hours: of('list', { item: of('number') }) });
  expect(differences(was, was)).toEqual([]);
  expect(differences(was, day({ lossW: of('null'), hours: of('list') }))).toEqual([]);
  expect(differences(was, day({ lossW: of('string'), spoilt: of('list') }))).toEqual([
    '/night/hours: is gone',
    '/night/lossW: was number, is string',
    '/night/spoilt: is new',
  ]);
});

describe.each(versions)('a store of schema %i', (version) => {
  beforeEach(() => unpack(version, join(folder, STORE_FILE)));

  test('opens, keeps every reading, and leaves a copy of what it was', async () => {
    inside(folder, (db) => {
      expect(db.pragma('user_version', { simple: true })).toBe(version);
      expect(rowsOf(db)).toEqual(kept);
    });
    await openStore(folder).close();
    inside(folder, (db) => {
      expect(db.pragma('user_version', { simple: true })).toBe(migrations.length);
      expect(rowsOf(db)).toEqual(kept);
      expectSound(db);
    });
    const copies = readdirSync(folder).filter((name) => name.includes('before-schema'));
    expect(copies).toHaveLength(version < migrations.length ? 1 : 0);
  });

  test('keeps set-ups, phones, links and notes', async () => {
    const store = openStore(folder);
    const setups = await store.setupVersions();
    expect(setups.map(({ from }) => from)).toEqual([Number.NEGATIVE_INFINITY, START + 86_400_000]);
    expect(setups.at(-1)!.setup.tubs[0]).toMatchObject({ name: 'Kōwhai Terrace' });
    expect(await store.phoneByCookie('a-hash')).toMatchObject({ id: 'p1', right: 'full' });
    expect(await store.phoneByCookie('b-hash')).toMatchObject({ tubs: ['kowhai'] });
    expect(await store.takeLink('c-hash', END)).toMatchObject({ id: 'l1', right: 'viewer' });
    expect(await store.note('a note')).toBe('kept');
    expect(await store.unreadable()).toMatchObject([{ topic: 'shed/x', count: 1 }]);
    if (version >= 2) expect(await store.logEntries('kowhai')).toMatchObject([{ note: 'leaves' }]);
    if (version >= 3) {
      const alerts = await store.alerts('kowhai', true);
      expect(alerts).toMatchObject([{ id: 'a1', acknowledgedAt: END, costKwh: 1.5 }]);
      expect(await store.subscriptions()).toMatchObject([{ phone: 'p1' }]);
    }
    await store.close();
  });

  test('tells the days that a store of today tells, and takes what comes next', async () => {
    const days = await daysOf(folder);
    expect(days).toHaveLength(2);
    expect(days[0]!.gainKwh).toBeGreaterThan(1);
    const now = mkdtempSync(join(tmpdir(), 'sunsteep-versions-'));
    unpack(migrations.length, join(now, STORE_FILE));
    expect(days).toEqual(await daysOf(now));
    rmSync(now, { recursive: true });
    const store = openStore(folder);
    const next = { tub: 'kowhai', point: 'tub/temperature', t: END + 1000, value: 36 };
    await store.keep({ readings: [next], unreadable: [], at: END });
    expect(await store.span('kowhai')).toEqual({ from: START, to: END + 1000 });
    await store.close();
  });

  test('comes back as a backup', async () => {
    const backup = join(folder, 'backup.db');
    unpack(version, backup);
    putBackup(backup, folder, 'then');
    await openStore(folder).close();
    expect(inside(folder, rowsOf)).toEqual(kept);
  });
});
