import { join } from 'node:path';
import { setImmediate as turn } from 'node:timers/promises';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { STORE_FILE } from '../../collector-service/store/database.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { batch, expectedOf } from './batches.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside, rowsOf } from './inside.ts';
import { Process } from './processes.ts';

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
});
afterEach(() => remove());

const upTo = (count: number) => Array.from({ length: count }, (_, n) => n);

test('two processes that write at once both finish, and nothing is lost', async () => {
  const store = openStore(folder);
  const before = await store.outsideChange();
  const [own, others] = [100, 150];
  // One tub of its own and one that both write to.
  const importing = new Process('writer.ts', [folder, 'rimu', 0, others]);
  let meanwhile = 0;
  try {
    await importing.printed(1);
    for (const n of upTo(own)) {
      await store.keep(batch('kowhai', n));
      await store.keep(batch('rimu', n));
      await turn();
    }
    meanwhile = importing.lines.length;
    await importing.done();
  } finally {
    await importing.kill();
  }
  expect(importing.lines).toEqual(upTo(others).map(String));
  expect(await store.outsideChange()).not.toBe(before);
  console.log(`${own * 2} batches here, ${meanwhile} of ${others} there meanwhile`);

  inside(folder, (db) => {
    expect(rowsOf(db)).toEqual(
      new Map([...expectedOf('kowhai', upTo(own)), ...expectedOf('rimu', upTo(others))]),
    );
    expectSound(db);
  });
  const counts = (await store.unreadable()).map(({ topic, count }) => [topic, count]);
  expect(Object.fromEntries(counts)).toEqual({ 'shed/kowhai': own, 'shed/rimu': own + others });
  await store.close();
});

test('processes that open a new folder at the same time all find one store', async () => {
  const place = join(folder, 'data');
  const tubs = ['kowhai', 'rimu', 'totara', 'matai'];
  const processes = tubs.map((tub) => new Process('writer.ts', [place, tub, 0, 5]));
  await Promise.all(processes.map((each) => each.done()));
  inside(place, (db) => {
    expect(rowsOf(db)).toEqual(new Map(tubs.flatMap((tub) => [...expectedOf(tub, upTo(5))])));
    expectSound(db);
  });
});

test('while another process holds the store, others here get their turn; then it is kept', async () => {
  const store = openStore(folder);
  const other = new Database(join(folder, STORE_FILE));
  other.exec('BEGIN IMMEDIATE');
  let isKept = false;
  const keeping = store.keep(batch('kowhai', 0)).then(() => {
    isKept = true;
  });
  for (let turns = 0; turns < 1000; turns++) await turn();
  expect(isKept).toBe(false);
  expect(await store.points('kowhai')).toEqual([]); // reading waits for nobody
  other.exec('COMMIT');
  await keeping;
  expect(inside(folder, rowsOf)).toEqual(expectedOf('kowhai', [0]));
  other.close();
  await store.close();
});

test('a store that is held for long is refused in the end, and nothing is kept', async () => {
  vi.useFakeTimers({ toFake: ['setTimeout'] });
  const store = openStore(folder);
  const other = new Database(join(folder, STORE_FILE));
  other.exec('BEGIN IMMEDIATE');
  const keeping = store.keep(batch('kowhai', 0)).then(
    () => expect.unreachable('it was kept'),
    (error: unknown) => error,
  );
  try {
    await vi.runAllTimersAsync();
    expect(await keeping).toMatchObject({
      code: 'SUNSTEEP_STORE_BUSY',
      message: expect.stringMatching(/another program holds the store: try again/),
    });
  } finally {
    vi.useRealTimers();
    other.exec('COMMIT');
    other.close();
  }
  expect(await store.points('kowhai')).toEqual([]);
  await store.keep(batch('kowhai', 0));
  expect(inside(folder, rowsOf)).toEqual(expectedOf('kowhai', [0]));
  await store.close();
});
