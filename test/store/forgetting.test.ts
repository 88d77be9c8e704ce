import { setImmediate as turn } from 'node:timers/promises';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../collector-service/store/store.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside } from './inside.ts';
import { day, keep, keepUnreadable, QUARTER, quarter, reading, T0 } from './promise/sample.ts';

const COUNT = 50_000;
let folder: string;
let remove: () => void;
let store: Store;

beforeEach(async () => {
  ({ folder, remove } = temporaryFolder());
  store = openStore(folder);
  const many = Array.from({ length: COUNT }, (_, i) => reading('a', T0 + i * 1000, i % 7));
  await keep(store, many);
  await keep(store, [reading('b', T0, 1), reading('a', T0, 1, 'rimu')]);
  await store.putLedger('kowhai', [quarter(T0)], { from: T0, to: T0 + QUARTER }, []);
  await store.putDays('kowhai', [day('2026-03-01')], []);
  await store.markDirty('kowhai', T0, T0 + QUARTER);
  await keepUnreadable(store, [{ topic: 'sunsteep/kowhai/x', payload: '?', why: 'no point' }], T0);
});

afterEach(async () => {
  await store.close();
  remove();
});

/** Tables in which a name stands, and how many readings there are. */
const left = () =>
  inside(folder, (db) => {
    const tables = db
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'table'")
      .pluck()
      .all() as string[];
    return {
      named: tables.filter((table) =>
        JSON.stringify(db.prepare(`SELECT * FROM ${table}`).all()).includes('kowhai'),
      ),
      readings: db.prepare('SELECT count(*) FROM reading').pluck().get(),
      forgotten: db.prepare('SELECT count(*) FROM forgotten').pluck().get(),
    };
  });

test('a tub that is forgotten stands in no table any more', async () => {
  expect(left().named.sort()).toEqual(['day', 'dirty', 'ledger', 'series', 'tub', 'unreadable']);
  await store.forgetTub('kowhai');
  expect(left()).toEqual({ named: [], readings: 1, forgotten: 0 });
  inside(folder, expectSound);
});

test('a tub with many readings goes in parts, and what is heard meanwhile is kept', async () => {
  let isForgotten = false;
  const forgetting = store.forgetTub('kowhai').then(() => {
    isForgotten = true;
  });
  expect(await store.points('kowhai')).toEqual([]); // out of sight at once
  let kept = 0;
  while (!isForgotten) {
    await keep(store, [reading('a', T0 + kept++, 1, 'rimu'), reading('a', T0 + kept, 1)]);
    await turn();
  }
  await forgetting;
  expect(kept).toBeGreaterThan(2);
  expect(await store.span('kowhai')).toEqual({ from: T0 + 1, to: T0 + kept });
  expect(left().readings).toBe(kept * 2);
  inside(folder, expectSound);
});

test('what a stop left of a forgotten tub goes at the next start', async () => {
  const forgetting = store.forgetTub('kowhai');
  await store.close();
  await expect(forgetting).rejects.toThrow();
  expect(left()).toEqual({ named: [], readings: COUNT + 2, forgotten: 2 });
  store = openStore(folder);
  while (left().forgotten !== 0) await turn();
  expect(left().readings).toBe(1);
  inside(folder, expectSound);
});
