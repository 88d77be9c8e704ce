import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { copyStore, putBackup } from '../../collector-service/store/backup.ts';
import { STORE_FILE } from '../../collector-service/store/database.ts';
import { migrations } from '../../collector-service/store/schema.ts';
import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { batch, expectedOf } from './batches.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside, rowsOf } from './inside.ts';
import { Process } from './processes.ts';

let folder: string;
let remove: () => void;
let backup: string;
const STAMP = '2026-03-01T08-00-00Z';
const replaced = () => join(folder, `${STORE_FILE}.replaced-${STAMP}`);

/** A store with batch 0, a backup of it, and batch 1 in the store alone. */
beforeEach(async () => {
  ({ folder, remove } = temporaryFolder());
  backup = join(folder, 'backup.db');
  await keep(0);
  copyStore(folder, backup);
  await keep(1);
});
afterEach(() => remove());

async function keep(n: number, where = folder): Promise<void> {
  const store = openStore(where);
  await store.keep(batch('kowhai', n));
  await store.close();
}

const rowsIn = (file: string) => {
  const db = new Database(file, { readonly: true });
  try {
    expectSound(db);
    return rowsOf(db);
  } finally {
    db.close();
  }
};
const kept = () => inside(folder, (db) => rowsOf(db));

test('a backup is one file, sound, and for its owner alone', () => {
  expect(rowsIn(backup)).toEqual(expectedOf('kowhai', [0]));
  expect(statSync(backup).mode & 0o777).toBe(0o600);
  expect(readdirSync(folder).filter((name) => name.startsWith('backup'))).toEqual(['backup.db']);
});

test('a backup takes the place of the store, which stays beside it', async () => {
  expect(putBackup(backup, folder, STAMP)).toBe(replaced());
  expect(kept()).toEqual(expectedOf('kowhai', [0]));
  expect(rowsIn(replaced())).toEqual(expectedOf('kowhai', [0, 1]));
  expect(statSync(join(folder, STORE_FILE)).mode & 0o777).toBe(0o600);
  await keep(2);
  expect(kept()).toEqual(expectedOf('kowhai', [0, 2]));
  expect(putBackup(backup, folder, STAMP)).toBe(`${replaced()}-2`);
});

test('the boards’ password goes along, and takes no other one’s place', () => {
  const password = 'broker-password';
  writeFileSync(join(folder, password), 'fern-otter-4471\n', { mode: 0o600 });
  const copy = join(folder, 'with-password.db');
  copyStore(folder, copy);
  const { folder: other, remove: removeOther } = temporaryFolder();
  putBackup(copy, other, STAMP);
  expect(readFileSync(join(other, password), 'utf8')).toBe('fern-otter-4471\n');
  expect(statSync(join(other, password)).mode & 0o777).toBe(0o600);
  const notes = inside(other, (db) => db.prepare('SELECT value FROM note').pluck().all());
  expect(notes).not.toContain('fern-otter-4471');
  writeFileSync(join(other, password), 'another-one\n');
  putBackup(copy, other, STAMP);
  expect(readFileSync(join(other, password), 'utf8')).toBe('another-one\n');
  removeOther();
});

test('a folder without a store takes a backup too', () => {
  const { folder: other, remove: removeOther } = temporaryFolder();
  expect(putBackup(backup, other, STAMP)).toBeNull();
  inside(other, (db) => expect(rowsOf(db)).toEqual(expectedOf('kowhai', [0])));
  expect(readdirSync(other)).toEqual([STORE_FILE]);
  removeOther();
});

test('what a killed service left in its log goes along with the store that is replaced', async () => {
  const { folder: other, remove: removeOther } = temporaryFolder();
  const store = openStore(folder);
  await store.keep(batch('kowhai', 2));
  // as a kill leaves them: the log is not folded in
  for (const beside of ['', '-wal']) {
    copyFileSync(join(folder, STORE_FILE + beside), join(other, STORE_FILE + beside));
  }
  await store.close();
  expect(statSync(join(other, `${STORE_FILE}-wal`)).size).toBeGreaterThan(0);
  const aside = putBackup(backup, other, STAMP)!;
  expect(readdirSync(other).sort()).toEqual([STORE_FILE, `${STORE_FILE}.replaced-${STAMP}`]);
  expect(rowsIn(aside)).toEqual(expectedOf('kowhai', [0, 1, 2]));
  inside(other, (db) => expect(rowsOf(db)).toEqual(expectedOf('kowhai', [0])));
  removeOther();
});

test('a log beside a backup that is torn gives whole batches alone', async () => {
  const killed = join(folder, 'killed.db');
  const store = openStore(folder);
  for (let n = 2; n < 8; n++) await store.keep(batch('kowhai', n));
  for (const beside of ['', '-wal']) {
    copyFileSync(join(folder, STORE_FILE + beside), killed + beside);
  }
  await store.close();
  const log = readFileSync(`${killed}-wal`);
  const { folder: other, remove: removeOther } = temporaryFolder();
  const found = new Set<number>();
  for (let cut = 0; cut <= 12; cut++) {
    writeFileSync(`${killed}-wal`, log.subarray(0, Math.floor((cut * log.length) / 12)));
    putBackup(killed, other, `${STAMP}-${cut}`);
    const rows = inside(other, rowsOf);
    const count = [...Array(9).keys()].find(
      (n) => expectedOf('kowhai', [...Array(n).keys()]).size === rows.size,
    );
    expect(rows).toEqual(expectedOf('kowhai', [...Array(count).keys()]));
    inside(other, expectSound);
    found.add(count!);
  }
  console.log(`batches there with more and more of the log: ${[...found]}`);
  expect([...found].at(-1)).toBe(8);
  expect(found.size).toBeGreaterThan(3);
  removeOther();
});

test('a folder that may only be read, or has no room, keeps the store that it has', async () => {
  const place = join(folder, 'place');
  mkdirSync(place);
  const mount = (...args: string[]) => spawnSync('mount', args, { stdio: 'ignore' }).status === 0;
  if (!mount('-t', 'tmpfs', '-o', 'size=1m', 'tmpfs', place)) {
    // where nothing may be mounted, a file in the folder's place is as closed
    rmSync(place, { recursive: true });
    writeFileSync(place, '');
    expect(() => putBackup(backup, place, STAMP)).toThrow(
      expect.objectContaining({ code: 'SUNSTEEP_STORE_READ_ONLY' }),
    );
    return;
  }
  try {
    await keep(0, place);
    const refused = (code: string) => {
      const before = hashesIn(place);
      expect(() => putBackup(backup, place, STAMP)).toThrow(expect.objectContaining({ code }));
      expect(hashesIn(place)).toEqual(before);
      expect(inside(place, rowsOf)).toEqual(expectedOf('kowhai', [0]));
    };
    const room = statSync(join(place, STORE_FILE)).size;
    writeFileSync(join(place, 'ballast'), Buffer.alloc(1_000_000 - room - 60_000));
    refused('SUNSTEEP_STORE_DISK_FULL');
    expect(mount('-o', 'remount,ro', place)).toBe(true);
    const before = hashesIn(place);
    expect(() => putBackup(backup, place, STAMP)).toThrow(
      expect.objectContaining({ code: 'SUNSTEEP_STORE_READ_ONLY' }),
    );
    expect(hashesIn(place)).toEqual(before);
    expect(mount('-o', 'remount,rw', place)).toBe(true);
    rmSync(join(place, 'ballast'));
    putBackup(backup, place, STAMP);
    expect(inside(place, rowsOf)).toEqual(expectedOf('kowhai', [0]));
  } finally {
    expect(spawnSync('umount', [place]).status).toBe(0);
  }
});

test('a store that is damaged is replaced, and kept with its log as it is', () => {
  const file = join(folder, STORE_FILE);
  const garbage = Buffer.alloc(8192, 'x');
  writeFileSync(file, garbage);
  writeFileSync(`${file}-wal`, 'what was left');
  putBackup(backup, folder, STAMP);
  expect(kept()).toEqual(expectedOf('kowhai', [0]));
  expect(readFileSync(replaced()).equals(garbage)).toBe(true);
  expect(readFileSync(`${replaced()}-wal`, 'utf8')).toBe('what was left');
});

const hashesIn = (place: string) =>
  readdirSync(place).map((name) => {
    const hash = createHash('sha256').update(readFileSync(join(place, name)));
    return [name, hash.digest('hex')];
  });

/** Everything in the folder but the file that is offered, byte by byte. */
const asItWas = () =>
  readdirSync(folder)
    .filter((name) => name.startsWith(STORE_FILE))
    .map((name) => [name, readFileSync(join(folder, name)).toString('base64')]);

function changed(change: (db: Database.Database) => void): string {
  const db = new Database(backup);
  change(db);
  db.close();
  return backup;
}

const bytesOf = (change: (bytes: Buffer) => Buffer): string => {
  writeFileSync(backup, change(readFileSync(backup)));
  return backup;
};

const offers: [what: string, offered: () => string, code: string, says: RegExp][] = [
  ['nothing', () => join(folder, 'none.db'), 'CALL_INVALID', /is not there/],
  ['an empty file', () => bytesOf(() => Buffer.alloc(0)), 'CALL_INVALID', /is empty/],
  [
    'a folder',
    () => {
      mkdirSync(join(folder, 'a-folder'));
      return join(folder, 'a-folder');
    },
    'CALL_INVALID',
    /is a folder/,
  ],
  ['the store itself', () => join(folder, STORE_FILE), 'CALL_INVALID', /the store itself/],
  ['text', () => bytesOf(() => Buffer.alloc(9000, 'time,tub')), 'STORE_DAMAGED', /damaged/],
  [
    'a database of another program',
    () => changed((db) => db.pragma('application_id = 7')),
    'STORE_FOREIGN',
    /another program/,
  ],
  [
    'one of a newer program',
    () => changed((db) => db.pragma(`user_version = ${migrations.length + 1}`)),
    'STORE_NEWER',
    /newer Sunsteep/,
  ],
  [
    'one that was cut short',
    () => bytesOf((bytes) => bytes.subarray(0, bytes.length - 4096)),
    'STORE_DAMAGED',
    /damaged/,
  ],
  [
    'one cut short in its first page',
    () => bytesOf((bytes) => bytes.subarray(0, 700)),
    'STORE_DAMAGED',
    /damaged/,
  ],
];

test.each(offers)('what is no sound backup is refused: %s', (_what, offered, code, says) => {
  const file = offered();
  const before = asItWas();
  expect(() => putBackup(file, folder, STAMP)).toThrow(
    expect.objectContaining({ code: `SUNSTEEP_${code}`, message: expect.stringMatching(says) }),
  );
  expect(asItWas()).toEqual(before);
});

test('a flipped byte in any page is found, or changes no reading and no structure', async () => {
  for (let n = 2; n < 60; n++) await keep(n);
  backup = join(folder, 'larger.db');
  copyStore(folder, backup);
  const sound = readFileSync(backup);
  const { folder: other, remove: removeOther } = temporaryFolder();
  const before = asItWas();
  let found = 0;
  const tries = 120;
  for (let n = 0; n < tries; n++) {
    const bytes = Buffer.from(sound);
    const at = Math.floor((n * bytes.length) / tries) + (n % 7);
    bytes[at]! ^= 0x41;
    writeFileSync(backup, bytes);
    try {
      putBackup(backup, other, `${STAMP}-${n}`);
    } catch (error) {
      found++;
      expect((error as { code: string }).code).toMatch(/^SUNSTEEP_STORE_/);
      continue;
    }
    // A byte within a value or in free room is nothing that a file could tell.
    inside(other, expectSound);
  }
  console.log(`${found} of ${tries} flipped bytes refused, the others leave a sound store`);
  expect(found).toBeGreaterThan(20);
  expect(asItWas()).toEqual(before);
  removeOther();
});

test('a store that another program holds is not replaced', async () => {
  const store = openStore(folder);
  const before = readFileSync(join(folder, STORE_FILE));
  const holder = new Database(join(folder, STORE_FILE), { timeout: 0 });
  holder.exec('BEGIN; SELECT count(*) FROM reading');
  expect(() => putBackup(backup, folder, STAMP)).toThrow(
    expect.objectContaining({ code: 'SUNSTEEP_STORE_BUSY' }),
  );
  expect(existsSync(`${join(folder, STORE_FILE)}.restoring`)).toBe(false);
  expect(readFileSync(join(folder, STORE_FILE)).equals(before)).toBe(true);
  holder.close();
  await store.close();
}, 30_000);

test('no store is nothing to back up, and no file is left where one was to be', () => {
  const { folder: other, remove: removeOther } = temporaryFolder();
  expect(() => copyStore(other, join(other, 'b.db'))).toThrow(/there is no store in/);
  expect(readdirSync(other)).toEqual([]);
  removeOther();
});

test('a backup while another process writes has every batch whole that was promised', async () => {
  const writer = new Process('writer.ts', [folder, 'rata', 0, 100_000]);
  try {
    for (let copies = 0; copies < 5; copies++) {
      await writer.printed(writer.lines.length + 8);
      const promised = writer.lines.length;
      const copy = join(folder, `copy-${copies}.db`);
      copyStore(folder, copy);
      const rows = rowsIn(copy);
      const mine = new Map([...rows].filter(([key]) => key.startsWith('rata ')));
      // batches come one after another, so that what is there tells how many they were
      let count = promised;
      while (expectedOf('rata', [...Array(count).keys()]).size < mine.size) count++;
      expect(mine).toEqual(expectedOf('rata', [...Array(count).keys()]));
    }
  } finally {
    await writer.kill();
  }
}, 60_000);
