import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate as turn } from 'node:timers/promises';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { batch, expectedOf } from './batches.ts';
import { chanceOf } from './chance.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside, rowsOf } from './inside.ts';
import { Process } from './processes.ts';

const SEED = 20_260_301;

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
});
afterEach(() => remove());

const upTo = (count: number) => Array.from({ length: count }, (_, n) => n);

test('what keep resolved for is there after a kill, once, and the file is sound', async () => {
  const next = chanceOf(SEED);
  let kept = 0;
  let cut = 0;
  console.log(`seed ${SEED}`);
  for (let round = 1; round <= 5; round++) {
    const writer = new Process('writer.ts', [folder, 'kowhai', kept, 100_000]);
    await writer.printed(1 + Math.floor(next() * 60));
    for (let turns = Math.floor(next() * 400); turns > 0; turns--) await turn();
    await writer.kill();
    kept = Number(writer.lines.at(-1)) + 1;

    const rows = inside(folder, (db) => {
      expectSound(db);
      return rowsOf(db);
    });
    const printed = expectedOf('kowhai', upTo(kept));
    const oneMore = expectedOf('kowhai', upTo(kept + 1));
    const isOneMore = rows.size === oneMore.size;
    // The batch under way at the kill is there wholly or not at all.
    expect(rows).toEqual(isOneMore ? oneMore : printed);
    if (isOneMore) cut++;

    const store = openStore(folder);
    const marks = await store.dirty();
    const unmarked = [...rows.keys()].filter((key) => {
      const [, point, t] = key.split(' ');
      return !marks.some((mark) => mark.point === point && mark.from <= +t! && +t! <= mark.to);
    });
    expect(unmarked).toEqual([]);
    await store.close();
    console.log(`round ${round}: ${kept} batches said to be kept, ${rows.size} readings there`);
  }
  console.log(`${cut} of 5 kills came between the commit and the word of it`);
});

test('the log is written ahead and synchronised at every commit', () => {
  const db = openDatabase(folder);
  expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
  expect(db.pragma('synchronous', { simple: true })).toBe(2); // FULL
  db.close();
  inside(folder, (other) => expect(other.pragma('journal_mode', { simple: true })).toBe('wal'));
});

test('a batch with all that belongs to it is one transaction', async () => {
  const store = openStore(folder);
  for (let n = 0; n < 5; n++) {
    const before = commits(folder);
    await store.keep(batch('kowhai', n));
    expect(commits(folder)).toBe(before + 1);
  }
  const before = commits(folder);
  await store.keep(batch('kowhai', 4)); // nothing new but what could not be read
  expect(commits(folder)).toBe(before + 1);
  await store.close();
});

test('the file, its log and its index are for its owner alone', async () => {
  const data = join(folder, 'data');
  const store = openStore(data);
  await store.keep(batch('kowhai', 0));
  const mode = (path: string) => (statSync(path).mode & 0o777).toString(8);
  expect(mode(data)).toBe('700');
  for (const end of ['', '-wal', '-shm']) expect(mode(join(data, STORE_FILE + end))).toBe('600');
  await store.close();
});

/**
 * Transactions in the write-ahead log: frames that name the size of the database after a commit
 * (SQLite file format, section 4.1). The log is not read through SQLite, and never closed by it here.
 */
function commits(folder: string): number {
  const log = readFileSync(join(folder, `${STORE_FILE}-wal`));
  const pageSize = log.readUInt32BE(8);
  let count = 0;
  for (let at = 32; at + 24 + pageSize <= log.length; at += 24 + pageSize) {
    const isOfThisLog = log.readUInt32BE(at + 8) === log.readUInt32BE(16);
    if (isOfThisLog && log.readUInt32BE(at + 4) > 0) count++;
  }
  return count;
}
