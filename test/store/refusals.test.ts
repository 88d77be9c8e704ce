import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type ErrorCode, SunsteepError } from '../../collector-service/errors.ts';
import { openDatabase, STORE_FILE } from '../../collector-service/store/database.ts';
import { migrations } from '../../collector-service/store/schema.ts';
import { openStore, storeOn } from '../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../collector-service/store/store.ts';
import { batch, expectedOf } from './batches.ts';
import { temporaryFolder } from './folders.ts';
import { expectSound, inside, rowsOf } from './inside.ts';

let folder: string;
let remove: () => void;
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
});
afterEach(() => remove());

const fileIn = (place: string) => join(place, STORE_FILE);
const hash = (file: string) => createHash('sha256').update(readFileSync(file)).digest('hex');
const hashes = () => readdirSync(folder).map((name) => [name, hash(join(folder, name))]);

/** One sentence that says what is wrong and, after a colon, what to do about it. */
function expectRefusal(error: unknown, code: ErrorCode, todo: RegExp): void {
  expect(error).toBeInstanceOf(SunsteepError);
  const refusal = error as SunsteepError;
  expect(refusal.code).toBe(code);
  expect(refusal.message).toMatch(todo);
  expect(refusal.message).toMatch(/^\S.+: \S.+$/);
  expect(refusal.message).not.toMatch(/\n|[.;!] |\.$/);
}

function refusal(open: () => unknown): unknown {
  try {
    open();
  } catch (error) {
    return error;
  }
  throw new Error('opened');
}

const rejection = (work: Promise<unknown>): Promise<unknown> =>
  work.then(
    () => expect.unreachable('it was kept'),
    (error: unknown) => error,
  );

async function storeWith(batches: number): Promise<void> {
  const store = openStore(folder);
  for (let n = 0; n < batches; n++) await store.keep(batch('kowhai', n));
  await store.close();
}

describe('a database of another program', () => {
  const make = (journal: string) => {
    const other = new Database(fileIn(folder));
    other.pragma(`journal_mode = ${journal}`);
    other.exec('CREATE TABLE theirs (x); INSERT INTO theirs VALUES (1), (2)');
    return other;
  };

  test('is refused and stays as it is', () => {
    make('DELETE').close();
    const before = hashes();
    expectRefusal(
      refusal(() => openStore(folder)),
      'SUNSTEEP_STORE_FOREIGN',
      /set SUNSTEEP_DATA to a folder/,
    );
    expect(hashes()).toEqual(before);
  });

  test('is refused and stays as it is with its log, where that program was killed', () => {
    const other = make('WAL');
    const killed = join(folder, 'killed');
    mkdirSync(killed);
    for (const end of ['', '-wal']) copyFileSync(fileIn(folder) + end, fileIn(killed) + end);
    other.close();
    const files = ['', '-wal'].map((end) => fileIn(killed) + end);
    const before = files.map(hash);
    expectRefusal(
      refusal(() => openStore(killed)),
      'SUNSTEEP_STORE_FOREIGN',
      /another program/,
    );
    expect(files.map(hash)).toEqual(before);
    const theirs = new Database(fileIn(killed));
    expect(theirs.prepare('SELECT sum(x) FROM theirs').pluck().get()).toBe(3);
    theirs.close();
  });
});

test('a store of a newer program is refused and stays as it is', async () => {
  await storeWith(3);
  inside(folder, (db) => db.pragma(`user_version = ${migrations.length + 1}`));
  const before = hashes();
  expectRefusal(
    refusal(() => openStore(folder)),
    'SUNSTEEP_STORE_NEWER',
    /start that version, or restore a backup/,
  );
  expect(hashes()).toEqual(before);
});

describe('a damaged file', () => {
  const todo = /restore a backup/;

  test.each([
    ['a letter', 'Dear diary,\n'.repeat(1)],
    ['a long letter', 'Dear diary,\n'.repeat(5000)],
    ['zeros', Buffer.alloc(20_000)],
  ])('%s in its place is refused and stays as it is', (_, content) => {
    writeFileSync(fileIn(folder), content);
    const before = hashes();
    expectRefusal(
      refusal(() => openStore(folder)),
      'SUNSTEEP_STORE_DAMAGED',
      todo,
    );
    expect(hashes()).toEqual(before);
  });

  test('a flipped first page is refused', async () => {
    await storeWith(3);
    flip(0);
    expectRefusal(
      refusal(() => openStore(folder)),
      'SUNSTEEP_STORE_DAMAGED',
      todo,
    );
  });

  test('a flipped page of the tables’ list is refused', async () => {
    await storeWith(3);
    const page = inside(folder, (db) => {
      const pages = db
        .prepare("SELECT pageno FROM dbstat WHERE name = 'sqlite_schema' AND pageno > 1")
        .pluck()
        .all();
      return pages[0] as number;
    });
    flip(page - 1);
    expectRefusal(
      refusal(() => openStore(folder)),
      'SUNSTEEP_STORE_DAMAGED',
      todo,
    );
  });

  test('a flipped page of readings refuses what touches it, and still tells the rest', async () => {
    await storeWith(20);
    const page = inside(folder, (db) =>
      db.prepare("SELECT rootpage FROM sqlite_schema WHERE name = 'reading'").pluck().get(),
    );
    flip((page as number) - 1);
    const store = openStore(folder);
    for (const work of [
      store.recent('kowhai', 1),
      store.traces('kowhai', ['tub/temperature'], -Infinity, Infinity),
      store.page('kowhai', ['tub/temperature'], -Infinity, Infinity, 10),
      store.buckets('kowhai', 'tub/temperature', 0, 1e13, 1e9),
      store.keep(batch('kowhai', 20)),
    ]) {
      expectRefusal(await rejection(work), 'SUNSTEEP_STORE_DAMAGED', todo);
    }
    expect(await store.points('kowhai')).toHaveLength(3);
    expect(await store.unreadable()).toMatchObject([{ count: 20 }]);
    await store.close();
  });

  function flip(page: number): void {
    const handle = openSync(fileIn(folder), 'r+');
    writeSync(handle, Buffer.alloc(4096, 0xa5), 0, 4096, page * 4096);
    closeSync(handle);
  }
});

describe('a place that cannot be written', () => {
  const todo = /check that SUNSTEEP_DATA names a folder, its owner/;

  test('a folder below a file is refused', () => {
    writeFileSync(join(folder, 'file'), 'mine');
    for (const place of ['file', 'file/below', 'file/below/that']) {
      expectRefusal(
        refusal(() => openStore(join(folder, place))),
        'SUNSTEEP_STORE_READ_ONLY',
        todo,
      );
    }
    expect(readFileSync(join(folder, 'file'), 'utf8')).toBe('mine');
  });

  test('a folder in place of the file is refused and stays', () => {
    mkdirSync(join(fileIn(folder), 'inside'), { recursive: true });
    expectRefusal(
      refusal(() => openStore(folder)),
      'SUNSTEEP_STORE_FOREIGN',
      /is no file: set SUNSTEEP_DATA to a folder/,
    );
    expect(existsSync(join(fileIn(folder), 'inside'))).toBe(true);
  });

  test('a folder that may only be read is refused, empty or with a store in it', async () => {
    const place = join(folder, 'read-only');
    for (const isEmpty of [true, false]) {
      mkdirSync(place, { recursive: true });
      if (!isEmpty) {
        await storeWith(1);
        copyFileSync(fileIn(folder), fileIn(place));
      }
      const end = closeForWriting(place);
      try {
        expectRefusal(
          refusal(() => openStore(place)),
          'SUNSTEEP_STORE_READ_ONLY',
          todo,
        );
      } finally {
        end();
      }
    }
  });

  /** Rights stop everybody but root; for root the folder is mounted so that nobody can write. */
  function closeForWriting(place: string): () => void {
    if (process.getuid?.() !== 0) {
      chmodSync(place, 0o500);
      return () => chmodSync(place, 0o700);
    }
    if (mounted('--bind', place, place) && mounted('-o', 'remount,bind,ro', place)) {
      return () => unmount(place);
    }
    rmSync(place, { recursive: true });
    writeFileSync(place, ''); // root that may not mount: a file in its place is as closed
    return () => rmSync(place);
  }
});

describe('a full disk', () => {
  const says = /free some room, what arrives then is kept again/;

  /** Keeps batches until one is refused; gives its number. */
  async function fill(store: Store): Promise<{ refused: number; error: unknown }> {
    for (let n = 0; n < 5000; n++) {
      const error = await store.keep(batch('kowhai', n)).then(
        () => null,
        (reason: unknown) => reason,
      );
      if (error !== null) return { refused: n, error };
    }
    throw new Error('it never filled');
  }

  async function expectRefusedWhole(place: string, makeRoom: () => void, store: Store) {
    const { refused, error } = await fill(store);
    expectRefusal(error, 'SUNSTEEP_STORE_DISK_FULL', says);
    const numbers = Array.from({ length: refused }, (_, n) => n);
    expect(inside(place, rowsOf)).toEqual(expectedOf('kowhai', numbers));
    expect(await store.unreadable()).toMatchObject([{ count: refused }]);
    expectRefusal(
      await rejection(store.keep(batch('kowhai', refused))),
      'SUNSTEEP_STORE_DISK_FULL',
      says,
    );

    makeRoom();
    for (const n of [refused, refused + 1]) await store.keep(batch('kowhai', n));
    inside(place, (db) => {
      expect(rowsOf(db)).toEqual(expectedOf('kowhai', [...numbers, refused, refused + 1]));
      expectSound(db);
    });
    await store.close();
    return refused;
  }

  async function expectRefusedBeyond(pages: number): Promise<void> {
    const db = openDatabase(folder);
    db.pragma(`max_page_count = ${pages}`);
    const makeRoom = () => db.pragma('max_page_count = 100000');
    const refused = await expectRefusedWhole(folder, makeRoom, storeOn(db, fileIn(folder)));
    console.log(`a file of at most ${pages} pages: ${refused} batches`);
  }

  test('keeps nothing of a batch, and keeps again in the same handle once there is room', () =>
    expectRefusedBeyond(60));

  test('a disk that is full, or where none may be mounted a larger file, does the same', async () => {
    const place = join(folder, 'small');
    mkdirSync(place);
    if (!mounted('-t', 'tmpfs', '-o', 'size=2m', 'tmpfs', place)) return expectRefusedBeyond(120);
    const ballast = join(place, 'ballast');
    try {
      writeFileSync(ballast, Buffer.alloc(600_000));
      const refused = await expectRefusedWhole(place, () => rmSync(ballast), openStore(place));
      console.log(`a disk of 2 MB, 0.6 MB of it taken: ${refused} batches`);
    } finally {
      unmount(place);
    }
  });
});

const mounted = (...args: string[]): boolean =>
  spawnSync('mount', args, { stdio: 'ignore' }).status === 0;

const unmount = (place: string): void => {
  expect(spawnSync('umount', [place], { stdio: 'ignore' }).status).toBe(0);
};
