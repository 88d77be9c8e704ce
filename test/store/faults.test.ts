import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { storeOn } from '../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../collector-service/store/store.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Setup } from '../../model/setup.ts';
import { batch } from './batches.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside } from './inside.ts';
import { day, quarter, T0 } from './promise/sample.ts';
import { watched } from './watched.ts';

let folder: string;
let remove: () => void;
let store: Store;
/** Steps until the disk fails; what comes after works again. */
let stepsLeft = Infinity;

beforeEach(async () => {
  ({ folder, remove } = temporaryFolder());
  stepsLeft = Infinity;
  const failing = watched(openDatabase(folder), (sql) => {
    if (sql === 'COMMITTED') return;
    if (--stepsLeft === 0) throw new Database.SqliteError('disk I/O error', 'SQLITE_IOERR_WRITE');
  });
  store = storeOn(failing, join(folder, STORE_FILE));
  await store.keep(batch('kowhai', 0));
  await store.keep(batch('rimu', 0));
  await store.addLink(
    { id: '1', right: 'full', tubs: null, until: null, expires: T0 + 1 },
    'hash of the code',
  );
});

afterEach(async () => {
  await store.close();
  remove();
});

/** Everything in every table, but for counters of ids, which may leave numbers out. */
const content = () =>
  inside(folder, (db) => {
    const tables = db
      .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name <> 'sqlite_sequence'")
      .pluck()
      .all() as string[];
    return Object.fromEntries(
      tables.map((table) => [table, db.prepare(`SELECT * FROM ${table}`).all()]),
    );
  });

const setup: Setup = { tubs: [] };
const bath: LogEntry = {
  id: 'bath',
  kind: 'bathing',
  from: T0,
  until: T0 + 1,
  data: null,
  note: null,
};
const bathed = { tub: 'kowhai', from: T0, to: T0 + 1 };
const rows = [quarter(T0), quarter(T0 + 900_000)];

test.each<[string, () => Promise<unknown>]>([
  ['keep', () => store.keep(batch('kowhai', 1))],
  ['markDirty', () => store.markDirty('kowhai', T0, T0 + 1)],
  ['putLedger', () => inTurn(rows)],
  ['putDays', () => store.putDays('kowhai', [day('2026-03-01'), day('2026-03-02')], [])],
  ['addSetup', () => store.addSetup({ from: T0, setup, madeAt: T0 }, null)],
  ['addLogEntry', () => store.addLogEntry('kowhai', bath, T0, [bathed])],
  ['takeLink', () => store.takeLink('hash of the code', T0)],
  ['putNote', () => store.putNote('key', 'value')],
])(
  '%s that fails at any of its steps leaves everything as it was, and works when done again',
  async (name, work) => {
    const before = content();
    let failed = 0;
    for (; failed < 1000; failed++) {
      stepsLeft = failed + 1;
      const error = await work().then(
        () => null,
        (reason: unknown) => reason,
      );
      if (error === null) break;
      expect(error).toMatchObject({ code: 'SUNSTEEP_STORE_DISK_FULL' });
      expect(content()).toEqual(before);
    }
    expect(failed).toBeGreaterThan(1);
    expect(content()).not.toEqual(before);
    inside(folder, expectSound);
    console.log(`${name}: ${failed} steps failed, one by one`);
  },
);

/** Marks are read before, so that a step of it is one of putLedger alone. */
async function inTurn(rows: Parameters<Store['putLedger']>[1]): Promise<void> {
  const left = stepsLeft;
  stepsLeft = Infinity;
  const marks = await store.dirty();
  stepsLeft = left;
  await store.putLedger('kowhai', rows, { from: T0, to: T0 + 1 }, marks);
}

test('forgetTub that fails at any of its steps is done by the time it has gone through', async () => {
  const others = inside(folder, (db) =>
    db
      .prepare(
        "SELECT count(*) FROM reading WHERE series IN (SELECT id FROM series WHERE tub = 'rimu')",
      )
      .pluck()
      .get(),
  );
  let failed = 0;
  for (; failed < 1000; failed++) {
    stepsLeft = failed + 1;
    const error = await store.forgetTub('kowhai').then(
      () => null,
      (reason: unknown) => reason,
    );
    if (error === null) break;
    expect(error).toMatchObject({ code: 'SUNSTEEP_STORE_DISK_FULL' });
  }
  stepsLeft = Infinity;
  expect(failed).toBeGreaterThan(5);
  const { unreadable, ...left } = content(); // its topic is the shed's
  expect(unreadable).toHaveLength(2);
  expect(JSON.stringify(left)).not.toMatch(/kowhai/);
  expect(left.reading).toHaveLength(others as number);
  expect(left.forgotten).toEqual([]);
  inside(folder, expectSound);
  console.log(`forgetTub: ${failed} steps failed, one by one`);
});
