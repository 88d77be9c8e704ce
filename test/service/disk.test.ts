import { spawnSync } from 'node:child_process';
import {
  closeSync,
  copyFileSync,
  mkdirSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
  writeSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { connectAsync, type MqttClient } from 'mqtt';
import { pino } from 'pino';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { type Service, startService } from '../../collector-service/service.ts';
import { STORE_FILE } from '../../collector-service/store/database.ts';
import { migrations } from '../../collector-service/store/schema.ts';
import { batch, expectedOf } from '../store/batches.ts';
import { temporaryFolder } from '../store/folders.ts';
import { expectSound, inside, rowsOf } from '../store/inside.ts';
import { setupOf, TUB } from '../store/life.ts';

/** What a disk can do to the running service: all of it, but for the page that nobody asks for. */

const { disk } = vi.hoisted(() => ({ disk: { step: (_sql: string) => {} } }));

vi.mock('../../collector-service/store/database.ts', async (original) => {
  const database = await original<typeof import('../../collector-service/store/database.ts')>();
  const { watched } = await import('../store/watched.ts');
  const openDatabase = (folder: string) =>
    watched(database.openDatabase(folder), (sql) => disk.step(sql));
  return { ...database, openDatabase };
});

const TOKEN = 'a-token-for-scripts-of-these-tests-alone';
const T0 = Date.parse('2026-03-01T02:00:00Z');

let folder: string;
let remove: () => void;
let service: Service | null = null;
let board: MqttClient | null = null;
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
});
afterEach(async () => {
  disk.step = () => {};
  await board?.endAsync(true);
  await service?.stop();
  [board, service] = [null, null];
  remove();
});

async function start(data = folder): Promise<Service> {
  service = await startService({
    settings: {
      ...{ data, host: '127.0.0.1', port: 0, url: null, token: TOKEN, tls: null },
      ...{ outsideBroker: null, logLevel: 'silent' },
      broker: {
        ...{ host: '127.0.0.1', port: 0, tlsPort: 0, password: 'hot water', readerPassword: null },
      },
    },
    clock: { now: () => Date.now() },
    log: pino({ level: 'silent' }),
    demo: false,
  });
  return service;
}

const open = (): Promise<MqttClient> =>
  connectAsync({
    ...{ host: '127.0.0.1', port: service!.broker!.port, username: 'sensor' },
    ...{ password: 'hot water', reconnectPeriod: 0 },
  });

/** Publishes one reading; resolves with whether it was acknowledged before the connection ended. */
async function isTaken(n: number): Promise<boolean> {
  if (!board?.connected) {
    board = await open();
    board.on('error', () => {});
  }
  const closed = new Promise<boolean>((end) => board!.once('close', () => end(false)));
  const payload = JSON.stringify([{ t: (T0 + n * 1000) / 1000, v: n }]);
  const sent = board.publishAsync(`sunsteep/${TUB}/tub/temperature`, payload, { qos: 1 });
  return Promise.race([sent.then(() => true).catch(() => false), closed]);
}

async function ask(path: string): Promise<{ status: number; body: Record<string, never> }> {
  const headers = { authorization: `Bearer ${TOKEN}` };
  const response = await fetch(`http://127.0.0.1:${service!.port}${path}`, { headers });
  return { status: response.status, body: (await response.json()) as Record<string, never> };
}

const health = async () => (await ask('/health')).body;
const kept = (place = folder) =>
  inside(place, (db) => [...rowsOf(db).values()].sort((a, b) => a - b));

async function expectPlainTrouble(reason: RegExp): Promise<void> {
  const { status, reasons, store } = (await health()) as unknown as {
    status: string;
    reasons: string[];
    store: { status: string };
  };
  expect({ status, store }).toEqual({ status: 'degraded', store: { status: 'trouble' } });
  expect(reasons.join(' ')).toMatch(reason);
  for (const says of reasons) expect(says).toMatch(/^[A-Z][^\n]*[a-z0-9]\.$/);
  expect((await ask('/api/tubs')).status).toBe(200); // and the page goes on
}

test.each([
  ['SQLITE_READONLY', /the data folder cannot be written/],
  ['SQLITE_IOERR_WRITE', /the disk is full, or does not take what is written/],
  ['SQLITE_FULL', /the disk is full/],
])(
  'while the disk answers %s nothing is acknowledged; then all goes on by itself',
  async (code, says) => {
    await start();
    expect(await isTaken(1)).toBe(true);
    disk.step = (sql) => {
      if (sql === 'COMMIT') throw new Database.SqliteError('no', code);
    };
    for (const n of [2, 3]) expect(await isTaken(n)).toBe(false);
    await expectPlainTrouble(says);
    expect(kept()).toEqual([1]);
    disk.step = () => {};
    for (const n of [2, 3, 4]) expect(await isTaken(n)).toBe(true);
    expect((await health()).status).toBe('ok');
    expect(kept()).toEqual([1, 2, 3, 4]);
  },
);

test('a full disk refuses whole messages, and goes on once it has room', async () => {
  const place = join(folder, 'small');
  mkdirSync(place);
  const isMounted =
    spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=160m', 'tmpfs', place]).status === 0;
  const ballast = join(place, 'ballast');
  try {
    await start(place);
    await service!.watch.putSetup(setupOf(1200), Number.NEGATIVE_INFINITY);
    expect(await isTaken(1)).toBe(true);
    if (isMounted) fill(ballast);
    else limitPages();
    let n = 2;
    while (await isTaken(n)) n++;
    await expectPlainTrouble(/full/);
    expect(await isTaken(n)).toBe(false);
    const numbers = Array.from({ length: n - 1 }, (_, i) => i + 1);
    expect(kept(place)).toEqual(numbers);
    rmSync(ballast, { force: true });
    disk.step = () => {};
    await untilTaken(n);
    expect(await health()).toMatchObject({ store: { status: 'ok' } });
    expect(await isTaken(n + 1)).toBe(true);
    expect(kept(place)).toEqual([...numbers, n, n + 1]);
    inside(place, expectSound);
    await service!.watch.settled();
    while ((await service!.store.dirty()).length > 0) await service!.watch.settled();
    console.log(`${isMounted ? 'a real full disk' : 'a file that may not grow'}: ${n - 2} fitted`);
  } finally {
    await board?.endAsync(true);
    await service?.stop();
    [board, service] = [null, null];
    if (isMounted) expect(spawnSync('umount', [place]).status).toBe(0);
  }
});

function fill(ballast: string): void {
  const handle = openSync(ballast, 'w');
  const part = Buffer.alloc(1 << 20);
  try {
    for (;;) if (writeSync(handle, part) < part.length) break;
  } catch (error) {
    expect((error as { code?: string }).code).toBe('ENOSPC');
  } finally {
    closeSync(handle);
  }
}

/** Where nothing may be mounted: every commit after the third finds no room. */
function limitPages(): void {
  let commits = 0;
  disk.step = (sql) => {
    if (sql === 'COMMIT' && ++commits > 3) throw new Database.SqliteError('full', 'SQLITE_FULL');
  };
}

/** What was held back for the disk is taken at the latest once that was looked at again. */
async function untilTaken(n: number): Promise<void> {
  while (!(await isTaken(n))) await new Promise((turn) => setTimeout(turn, 50));
}

test('a slow disk makes greater batches: all is acknowledged, and people are answered meanwhile', async () => {
  await start();
  let commits = 0;
  disk.step = (sql) => {
    if (sql !== 'COMMIT') return;
    commits++;
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 500);
  };
  const messages = 600;
  const boards = await Promise.all([open(), open(), open()]);
  const sent = Array.from({ length: messages }, (_, n) =>
    boards[n % 3]!.publishAsync(
      `sunsteep/${TUB}/tub/temperature`,
      JSON.stringify([{ t: T0 / 1000 + n, v: n }]),
      { qos: 1 },
    ),
  );
  let answered = 0;
  let isOver = false;
  const asking = (async () => {
    while (!isOver) {
      expect((await ask('/api/tubs')).status).toBe(200);
      answered++;
    }
  })();
  await Promise.all(sent);
  isOver = true;
  await asking;
  const slow = commits;
  disk.step = () => {};
  console.log(`${messages} messages in ${slow} commits of 500 ms, ${answered} answers meanwhile`);
  expect(slow).toBeLessThan(12);
  expect(answered).toBeGreaterThan(0);
  expect(kept()).toHaveLength(messages);
  for (const one of boards) await one.endAsync();
});

describe('a file that is not as it was left', () => {
  const file = () => join(folder, STORE_FILE);

  /** As a kill leaves it: some of it in the log alone. */
  async function leave(batches: number): Promise<void> {
    await start();
    for (let n = 0; n < batches; n++) await service!.store.keep(batch(TUB, n));
    const aside = join(folder, 'aside');
    mkdirSync(aside);
    for (const end of ['', '-wal']) copyFileSync(file() + end, join(aside, STORE_FILE + end));
    await service!.stop();
    service = null;
    for (const end of ['', '-wal']) copyFileSync(join(aside, STORE_FILE + end), file() + end);
    rmSync(aside, { recursive: true });
  }

  test('a torn log is read up to the last whole transaction, and all is well', async () => {
    await leave(6);
    const log = `${file()}-wal`;
    truncateSync(log, statSync(log).size - 5000);
    await start();
    const rows = inside(folder, rowsOf);
    const counts = [...Array(7).keys()].filter(
      (n) => expectedOf(TUB, [...Array(n).keys()]).size === rows.size,
    );
    expect(counts).toHaveLength(1);
    expect(rows).toEqual(expectedOf(TUB, [...Array(counts[0]).keys()]));
    expect(counts[0]).toBeLessThan(6);
    expect((await health()).status).toBe('ok');
    expect(await isTaken(1)).toBe(true);
  });

  test('a flipped byte that is met is told, to whoever asks and by health', async () => {
    await leave(40);
    const page = inside(folder, (db) => {
      db.pragma('wal_checkpoint(TRUNCATE)');
      const root = "SELECT rootpage FROM sqlite_schema WHERE name = 'reading'";
      return db.prepare(root).pluck().get() as number;
    });
    const handle = openSync(file(), 'r+');
    writeSync(handle, Buffer.from([0x7f]), 0, 1, (page - 1) * 4096);
    closeSync(handle);
    await start();
    const { status, body } = await ask(
      `/api/tubs/${TUB}/readings?points=tub/temperature&buckets=0`,
    );
    expect({ status, code: body.code }).toEqual({ status: 503, code: 'SUNSTEEP_STORE_DAMAGED' });
    expect(await isTaken(1)).toBe(false);
    await expectPlainTrouble(/^The store is damaged: stop the service and restore a backup\./);
  });

  test.each([
    ['SUNSTEEP_STORE_FOREIGN', 'application_id = 7', /another program/],
    ['SUNSTEEP_STORE_NEWER', `user_version = ${migrations.length + 1}`, /newer Sunsteep/],
  ])(
    '%s: the service does not start, says why, and can be started once it is put right',
    async (code, pragma, says) => {
      await leave(2);
      inside(folder, (db) => db.pragma('wal_checkpoint(TRUNCATE)'));
      copyFileSync(file(), join(folder, 'before'));
      inside(folder, (db) => db.pragma(pragma));
      const bytes = readFileSync(file());
      await expect(start()).rejects.toMatchObject({ code, message: expect.stringMatching(says) });
      expect(readFileSync(file()).equals(bytes)).toBe(true);
      writeFileSync(file(), readFileSync(join(folder, 'before')));
      await start();
      expect((await health()).status).toBe('ok');
    },
  );
});
