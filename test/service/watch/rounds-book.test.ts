import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { RoundsBook } from '../../../collector-service/watch/rounds-book.ts';
import { SetupBook } from '../../../collector-service/watch/setup-book.ts';
import type { AlertChange } from '../../../model/alerts/alert-life.ts';
import { nothingOutside } from '../../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../../model/readings.ts';

const T0 = Date.parse('2026-03-01T20:00:00Z');
const tub = demoTub.id;
const point = 'tub/temperature';

let folder: string;
let store: Store;
const clock = { t: T0, now: () => clock.t };
let told: AlertChange[] = [];
let behind = false;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'sunsteep-rounds-'));
  store = openStore(folder);
  clock.t = T0;
  told = [];
  behind = false;
});

afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

const setup = new SetupBook([
  { id: 1, from: Number.NEGATIVE_INFINITY, madeAt: T0, setup: demoSetup },
]);

const newBook = () =>
  new RoundsBook({
    store,
    clock,
    book: () => setup,
    figures: () => null,
    isBehind: () => behind,
    outside: () => nothingOutside,
    told: (_, changes) => told.push(...changes),
  });

/** Keeps a reading a minute from one instant to before another, and says so. */
async function hear(
  book: RoundsBook | null,
  from: number,
  to: number,
  valueAt: (t: number) => number,
) {
  const readings = [];
  for (let t = from; t < to; t += MINUTE) readings.push({ tub, point, t, value: valueAt(t) });
  await store.keep({ readings, unreadable: [], at: clock.t });
  book?.heard(tub, from);
}

/** Lets time go on, with a reading and a tick for every minute. */
async function live(book: RoundsBook, minutes: number, valueAt: (t: number) => number) {
  for (let i = 0; i < minutes; i++) {
    await hear(book, clock.t, clock.t + 1, valueAt);
    clock.t += MINUTE;
    await book.tick();
  }
}

const hot = () => 42;
const fine = () => 37;
const tooHot = ({ alert }: AlertChange) => alert.fault === 'water-too-hot';
const kept = async () =>
  (await store.alerts(tub, false)).filter(({ fault }) => fault === 'water-too-hot');

test('what shows itself as time goes on is raised, written and told', async () => {
  const book = newBook();
  await live(book, 10, fine);
  expect(told.filter(tooHot)).toEqual([]);
  await live(book, 10, hot);
  expect(told.filter(tooHot)).toMatchObject([{ kind: 'raised', alert: { severity: 'danger' } }]);
  expect(await kept()).toMatchObject([{ until: null, acknowledgedAt: null }]);
  expect((await store.rounds(tub)).to).not.toBeNull();
});

test('after a restart an alert stands as before, and ends when its fault does', async () => {
  const first = newBook();
  await live(first, 10, hot);
  const [before] = await kept();
  await first.stop();
  const second = newBook();
  await live(second, 5, hot);
  expect(await kept()).toMatchObject([{ id: before!.id, until: null }]);
  await live(second, 20, fine);
  expect(await kept()).toMatchObject([{ id: before!.id, until: expect.any(Number) }]);
  expect(told.filter(tooHot).map(({ kind }) => kind)).toEqual(['raised', 'ended']);
});

test('time without readings proves nothing: an alert goes on, as unknown', async () => {
  const book = newBook();
  await live(book, 10, hot);
  clock.t += 3 * HOUR;
  await book.tick();
  expect(await kept()).toMatchObject([{ until: null, unknownSince: expect.any(Number) }]);
});

test('a reading that comes a few minutes late is judged in its time', async () => {
  const book = newBook();
  await live(book, 40, fine);
  clock.t += 12 * MINUTE;
  await book.tick();
  const from = clock.t - 12 * MINUTE;
  await hear(book, from, clock.t, hot);
  await live(book, 1, hot);
  expect(told.filter(tooHot)).toMatchObject([
    { kind: 'raised', alert: { raisedAt: expect.any(Number) } },
  ]);
  expect(told.find(tooHot)!.alert.raisedAt).toBeLessThan(from + 10 * MINUTE);
});

test('a backlog of hours enters what was wrong then, as over', async () => {
  const book = newBook();
  await live(book, 30, fine);
  const gap = clock.t;
  clock.t += 5 * HOUR;
  await live(book, 30, fine);
  await hear(book, gap, gap + 2 * HOUR, hot);
  await hear(book, gap + 2 * HOUR, gap + 5 * HOUR, fine);
  await live(book, 3, fine);
  const [alert, ...more] = await kept();
  expect(more).toEqual([]);
  expect(alert!.raisedAt).toBeLessThan(gap + 10 * MINUTE);
  expect(alert!.until! - gap - 2 * HOUR).toBeLessThan(20 * MINUTE);
  expect((await store.rounds(tub)).to).toBeGreaterThan(gap + 5 * HOUR);
});

test('a tub that is set up late has its past gone through once, and only when that is worked out', async () => {
  await hear(null, T0 - 30 * HOUR, T0 - 29 * HOUR, hot);
  await hear(null, T0 - 29 * HOUR, T0, fine);
  behind = true;
  const book = newBook();
  await book.tick();
  expect(await kept()).toEqual([]);
  behind = false;
  await book.tick();
  expect(await kept()).toMatchObject([{ until: expect.any(Number) }]);
  expect((await store.rounds(tub)).days.map(({ date }) => date)).toContain('2026-03-01');
});

test('what is so is told of the present alone', async () => {
  const book = newBook();
  await live(book, 5, fine);
  expect(book.statesAt(tub, clock.t)).not.toBeNull();
  expect(book.statesAt(tub, clock.t + 10 * MINUTE)).toBeNull();
});
