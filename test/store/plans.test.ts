import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type Db, openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { storeOn } from '../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../collector-service/store/store.ts';
import { temporaryFolder } from './folders.ts';
import { DAY, HOUR, QUARTER, quarter, T0 } from './promise/sample.ts';
import { watched } from './watched.ts';

const points = [
  'backup/energy',
  'backup/power',
  'collector/inlet',
  'collector/outlet',
  'collector/temperature',
  'filter/running',
  'outdoor/temperature',
  'pump/flow',
  'pump/power',
  'pump/running',
  'pump/volume',
  'tub/temperature',
];
const { folder, remove } = temporaryFolder();
let db: Db;
let store: Store;
let ran: { sql: string; args: unknown[] }[] = [];

beforeAll(async () => {
  db = openDatabase(folder);
  const record = (sql: string, args: unknown[]) => {
    if (sql !== 'COMMITTED') ran.push({ sql, args });
  };
  store = storeOn(watched(db, record), join(folder, STORE_FILE));
  await keepDay(0);
  await store.putLedger('kowhai', [quarter(T0)], { from: T0, to: T0 + DAY }, []);
});

afterAll(async () => {
  await store.close();
  remove();
});

const batchAt = (t: number) => ({
  readings: points.map((point) => ({ tub: 'kowhai', point, t, value: Math.sin(t / HOUR) })),
  unreadable: [{ topic: 'shed', payload: 'x', why: 'no number' }],
  at: t,
});

async function keepDay(day: number): Promise<void> {
  const batches = Array.from({ length: 1440 }, (_, minute) =>
    batchAt(T0 + day * DAY + minute * 6e4),
  );
  for (let i = 0; i < 1440; i += 60) {
    const readings = batches.slice(i, i + 60).flatMap((batch) => batch.readings);
    await store.keep({ readings, unreadable: [], at: T0 });
  }
}

/** How the database goes about what the store asks of it for some work, as it says itself. */
async function plan(work: () => Promise<unknown>): Promise<string[]> {
  ran = [];
  await work();
  const asked = ran.filter(({ sql }) => sql !== 'COMMIT');
  expect(asked.length).toBeGreaterThan(0);
  return asked.flatMap(({ sql, args }) => {
    const steps = db.prepare(`EXPLAIN QUERY PLAN ${sql}`).all(...args) as { detail: string }[];
    return steps.map(({ detail }) => detail);
  });
}

const [tub, point, from, to] = ['kowhai', 'tub/temperature', T0 + 7, T0 + DAY - 7];

test.each<[string, () => Promise<unknown>]>([
  ['recent', () => store.recent(tub, 9)],
  ['span', () => store.span(tub)],
  ['points', () => store.points(tub)],
  ['traces', () => store.traces(tub, points, from, to, () => HOUR)],
  ['page', () => store.page(tub, points, from, to, 100, { t: from + HOUR, point })],
  ['buckets of less than a quarter', () => store.buckets(tub, point, from, to, QUARTER / 3)],
  ['buckets of hours', () => store.buckets(tub, point, from, to, HOUR + 1)],
  ['ledger', () => store.ledger(tub, from, to)],
  ['putLedger', async () => store.putLedger(tub, [quarter(T0)], { from, to }, await store.dirty())],
  ['keep', () => store.keep(batchAt(T0 + DAY / 2 + 1))],
  [
    'keep with greater values',
    () =>
      store.keep({
        readings: [{ tub, point, t: T0, value: 99 }],
        unreadable: [],
        at: T0,
      }),
  ],
  ['days', () => store.days(tub)],
  ['markDirty', () => store.markDirty(tub, from, to)],
  ['phoneByCookie', () => store.phoneByCookie('hash')],
])('%s finds what it needs by its key, and sorts nothing', async (_, work) => {
  const steps = await plan(work);
  // SQLite calls a walk through a whole table SCAN, or SEARCH without any column in brackets.
  const large = steps.filter((step) => /\b(reading|rollup|ledger)\b/.test(step));
  expect(large.filter((step) => !/^SEARCH .*\((series|tub)=\?/.test(step))).toEqual([]);
  const small =
    /^SCAN (dirty|unreadable|forgotten|\(subquery-\d+\)|\d+ CONSTANT ROWS?|CONSTANT ROW)/;
  expect(steps.filter((step) => step.startsWith('SCAN') && !small.test(step))).toEqual([]);
  // The kinds of unreadable messages that came last in one batch are put in order among themselves.
  const sorts = steps.filter((step) => /TEMP B-TREE/.test(step) && !/LAST 2 TERMS/.test(step));
  expect(sorts).toEqual([]);
});

test('buckets of whole quarter hours are read from roll-ups, never from their readings', async () => {
  ran = [];
  const found = await store.buckets(tub, point, T0, T0 + DAY, 2 * HOUR);
  expect(found).toHaveLength(12);
  for (const { count } of found) expect(count).toBeGreaterThanOrEqual(120);
  const sums = ran.filter(({ sql }) => /count\(\*\)|sum\(/.test(sql));
  expect(sums).toHaveLength(12);
  expect(sums.filter(({ sql }) => /FROM reading\b/.test(sql))).toEqual([]);
  // Beside those, one look for where the next reading stands.
  const others = ran.filter((each) => /FROM reading\b/.test(each.sql));
  expect(others.length).toBeLessThanOrEqual(13);
  for (const { sql } of others) expect(sql).toMatch(/LIMIT 1$/);
});

test('a walk through all readings would be seen', () => {
  const steps = db.prepare('EXPLAIN QUERY PLAN SELECT max(value) FROM reading').all();
  const { detail } = steps[0] as { detail: string };
  expect(detail).toMatch(/reading/);
  expect(detail).not.toMatch(/\(series=\?/);
});

test('keeping a batch takes as many statements on a full store as on an empty one', async () => {
  const statements = async (t: number) => {
    ran = [];
    await store.keep(batchAt(t));
    return ran.length;
  };
  await statements(T0 + DAY);
  const before = await statements(T0 + DAY + 1);
  for (let day = 2; day < 7; day++) await keepDay(day);
  expect(await statements(T0 + 7 * DAY)).toBe(before);
  const rows = db.prepare('SELECT count(*) FROM reading').pluck().get();
  console.log(
    `${before} statements for a batch of 12 readings, with ${rows} readings in the store`,
  );
});
