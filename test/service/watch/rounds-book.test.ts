import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { RoundsBook } from '../../../collector-service/watch/rounds-book.ts';
import { SetupBook } from '../../../collector-service/watch/setup-book.ts';
import { type AlertChange, AlertLife } from '../../../model/alerts/alert-life.ts';
import { nothingOutside } from '../../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../../model/readings.ts';
import type { AnyRule, Finding } from '../../../model/rules/rule.ts';
import { rules } from '../../../model/rules/rules.ts';
import type { Setup } from '../../../model/setup.ts';

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
  setup = setupOf(demoSetup);
});

afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

const setupOf = (setup: Setup) =>
  new SetupBook([{ id: 1, from: Number.NEGATIVE_INFINITY, madeAt: T0, setup }]);
let setup = setupOf(demoSetup);

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
  for (let t = from; t < to; t += MINUTE) {
    readings.push({ tub, point, t, value: valueAt(t) });
    // moved water: a low reading tells of all of it
    readings.push({ tub, point: 'filter/running', t, value: 1 });
  }
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
  await live(second, 40, fine);
  expect(await kept()).toMatchObject([{ id: before!.id, until: expect.any(Number) }]);
  expect(told.filter(tooHot).map(({ kind }) => kind)).toEqual(['raised', 'ended']);
});

test('what a failing store did not take of alerts and days is written once it takes it', async () => {
  const book = newBook();
  await live(book, 10, hot);
  const write = store.putRounds.bind(store);
  let refused = 0;
  store.putRounds = async () => {
    refused++;
    throw new Error('the disk is full');
  };
  for (let minute = 0; minute < 19 * 60; minute++) {
    await live(book, 1, fine).catch(() => {}); // the fault ends, and so does the day
  }
  expect(refused).toBeGreaterThan(1000);
  expect(await kept()).toMatchObject([{ until: null }]);
  expect(told.filter(tooHot).map(({ kind }) => kind)).toEqual(['raised']);
  store.putRounds = write;
  await live(book, 1, fine);
  expect(await kept()).toMatchObject([{ until: expect.any(Number) }]);
  expect(told.filter(tooHot).map(({ kind }) => kind)).toEqual(['raised', 'ended']);
  expect((await store.rounds(tub)).days.map(({ date }) => date)).toEqual(['2026-03-02']);
});

test('going through the past that could not be written is done again', async () => {
  const book = newBook();
  await live(book, 30, fine);
  const gap = clock.t;
  clock.t += 5 * HOUR;
  await live(book, 30, fine);
  await hear(book, gap, gap + 2 * HOUR, hot);
  await hear(book, gap + 2 * HOUR, gap + 5 * HOUR, fine);
  const write = store.putRounds.bind(store);
  store.putRounds = async () => {
    throw new Error('the disk is full');
  };
  for (let minute = 0; minute < 3; minute++) await live(book, 1, fine).catch(() => {});
  expect(await kept()).toEqual([]);
  store.putRounds = write;
  await live(book, 1, fine);
  expect(await kept()).toMatchObject([{ until: expect.any(Number) }]);
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
  expect(alert!.until).not.toBeNull();
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

test('a correction for always has the past judged again by it', async () => {
  const book = newBook();
  await live(book, 60, fine);
  expect(await kept()).toEqual([]);
  const corrected = { ...demoTub, corrections: { [point]: { offset: 5 } } };
  setup = setupOf({ ...demoSetup, tubs: [corrected] });
  await live(book, 40, fine);
  expect(await kept()).toMatchObject([{ since: expect.any(Number), severity: 'danger' }]);
  expect((await kept())[0]!.since).toBeLessThan(T0 + 10 * MINUTE);
});

test('what is so is told of the present alone', async () => {
  const book = newBook();
  await live(book, 5, fine);
  expect(book.statesAt(tub, clock.t)).not.toBeNull();
  expect(book.statesAt(tub, clock.t + 10 * MINUTE)).toBeNull();
});

test('a reading that comes late beside an alert that ended since tells it once', async () => {
  const book = newBook();
  await live(book, 8, fine);
  await live(book, 12, hot);
  const copied = clock.t;
  for (let i = 0; i < 8; i++) await live(book, 1, hot);
  await live(book, 60, fine);
  const before = await kept();
  expect(before).toMatchObject([{ until: expect.any(Number) }]);
  await hear(book, clock.t - 12 * MINUTE, clock.t - 12 * MINUTE + 1, fine);
  await hear(book, copied, copied + 1, hot);
  await live(book, 20, fine);
  expect((await kept()).map(({ id }) => id)).toEqual(before.map(({ id }) => id));
});

test('what another time of judging ended stands again under its own name', () => {
  const judged = { ...rules.find(({ fault }) => fault === 'pump-not-running')!, onMs: 0, offMs: 0 };
  const life = new AlertLife([judged]);
  const changes: AlertChange[] = [];
  const take = (minute: number, finding: Finding) =>
    life.take(judged, null, judged.fault, finding, minute * MINUTE, MINUTE, changes);
  take(0, { evidence: {} });
  const copy = structuredClone({ showing: life.showing, standing: life.standing });
  take(1, 'gone');
  life.goBackTo(copy.showing, copy.standing);
  take(1, { evidence: {} });
  take(2, 'gone');
  expect(changes.map(({ kind }) => kind)).toEqual(['raised', 'ended', 'ended']);
  expect(new Set(changes.map(({ alert }) => alert.id)).size).toBe(1);
});

test('what is late when the service stops is gone through after the next start', async () => {
  const first = newBook();
  await live(first, 30, fine);
  const gap = clock.t;
  clock.t += 5 * HOUR;
  await live(first, 30, fine);
  await hear(first, gap, gap + 2 * HOUR, hot);
  await hear(first, gap + 2 * HOUR, gap + 5 * HOUR, fine);
  behind = true;
  await first.tick();
  expect(await kept()).toEqual([]);
  await first.stop();
  behind = false;
  const second = newBook();
  await live(second, 3, fine);
  expect(await kept()).toMatchObject([{ until: expect.any(Number) }]);
});

test('what is told to be late before rounds have begun is not forgotten', async () => {
  const first = newBook();
  await live(first, 30, fine);
  const gap = clock.t;
  clock.t += 5 * HOUR;
  await live(first, 30, fine);
  await first.stop();
  const second = newBook();
  await hear(second, gap, gap + 2 * HOUR, hot);
  await hear(second, gap + 2 * HOUR, gap + 5 * HOUR, fine);
  await live(second, 3, fine);
  expect(await kept()).toMatchObject([{ until: expect.any(Number) }]);
});

test('readings that are late again and again are gone through all the same', async () => {
  const book = newBook();
  await live(book, 30, fine);
  clock.t += 2 * HOUR;
  await book.tick();
  for (let i = 0; i < 15 * 6; i++) {
    await hear(book, clock.t - HOUR, clock.t - HOUR + 1, hot);
    clock.t += 10_000;
    await book.tick();
  }
  expect(await kept()).toMatchObject([{ raisedAt: expect.any(Number) }]);
});

test('a stop while rounds are taken up leaves them where they were', async () => {
  const first = newBook();
  await live(first, 30, hot);
  await first.stop();
  const { to } = await store.rounds(tub);
  const second = newBook();
  const tick = second.tick();
  await second.stop();
  await tick;
  expect((await store.rounds(tub)).to).toBe(to);
});

test('hours in which the service was away are no silence of the boards, and prove nothing', async () => {
  const first = newBook();
  await live(first, 90, hot);
  await first.stop();
  const stopped = clock.t;
  clock.t += 5 * HOUR;
  const second = newBook();
  await second.tick();
  const [alert] = await kept();
  expect(alert).toMatchObject({ until: null });
  expect(Math.abs(alert!.unknownSince! - stopped)).toBeLessThan(2 * MINUTE);
  clock.t += 3 * MINUTE;
  await live(second, 10, hot);
  expect((await kept()).map(({ unknownSince }) => unknownSince)).toEqual([null]);
  const faults = new Set((await store.alerts(tub, false)).map(({ fault }) => fault));
  expect(faults).not.toContain('device-silent');
  expect(faults).not.toContain('sensor-silent');
  clock.t += HOUR;
  await second.tick();
  const later = new Set((await store.alerts(tub, false)).map(({ fault }) => fault));
  expect(later).toContain('device-silent');
});

test('rounds go back with a clock that is set back', async () => {
  const book = newBook();
  await live(book, 30, fine);
  clock.t += HOUR;
  await book.tick();
  clock.t -= HOUR;
  await live(book, 15, hot);
  expect(await kept()).toMatchObject([{ severity: 'danger', until: null }]);
});

test('an alert that late readings prove over ends when its fault did', async () => {
  const book = newBook();
  await live(book, 10, hot);
  const gap = clock.t;
  clock.t += 5 * HOUR;
  await book.tick();
  await hear(book, gap, gap + 5 * HOUR, fine);
  clock.t += 30_000;
  await book.tick();
  clock.t += 30_000;
  await book.tick();
  const [alert, ...more] = await kept();
  expect(more).toEqual([]);
  expect(alert!.until).not.toBeNull();
  expect(alert!.until! - gap).toBeLessThan(20 * MINUTE);
  expect(told.filter(tooHot).map(({ kind }) => kind)).toEqual(['raised', 'ended']);
});

test('an alert that was called no fault explains nothing, and is told once it grows worse', () => {
  const cause = { ...rules.find(({ fault }) => fault === 'pump-not-running')!, onMs: 0 };
  const effect = { ...rules.find(({ fault }) => fault === 'collector-stagnating')!, onMs: 0 };
  const life = new AlertLife([cause, effect]);
  const changes: AlertChange[] = [];
  const take = (rule: AnyRule, minute: number, finding: Finding) =>
    life.take(rule, null, rule.fault, finding, minute * MINUTE, MINUTE, changes);
  take(cause, 0, { evidence: {} });
  take(effect, 0, { evidence: {} });
  expect(changes.map(({ alert }) => alert.fault)).toEqual(['pump-not-running']);
  life.dismiss(changes[0]!.alert.id);
  take(cause, 1, { evidence: {} });
  take(effect, 1, { evidence: {} });
  expect(changes.map(({ alert }) => alert.fault)).toEqual([
    'pump-not-running',
    'collector-stagnating',
  ]);
  take(cause, 2, { evidence: {}, severity: 'danger' });
  expect(changes.at(-1)).toMatchObject({ kind: 'worse', alert: { fault: 'pump-not-running' } });
  expect(life.isStanding('pump-not-running')).toBe(true);
});

test('what an alert has cost outlives a time in which nothing is seen', () => {
  const judged = { ...rules.find(({ fault }) => fault === 'pump-not-running')!, onMs: 0 };
  const life = new AlertLife([judged]);
  const findings: Finding[] = [
    ...Array<Finding>(60).fill({ evidence: {}, costW: 1000 }),
    'blind',
    ...Array<Finding>(30).fill({ evidence: {}, costW: 1000 }),
  ];
  findings.forEach((finding, i) => {
    life.take(judged, null, judged.fault, finding, i * MINUTE, MINUTE, []);
  });
  expect(life.standing.get(judged.fault)!.costKwh).toBeCloseTo(1.5, 6);
});

test('months without a reading are gone through at once, and what follows them is judged', async () => {
  await hear(null, T0 - 200 * 24 * HOUR, T0 - 200 * 24 * HOUR + 20 * MINUTE, fine);
  const book = newBook();
  await live(book, 20, hot);
  const alerts = await kept();
  expect(alerts.some(({ raisedAt }) => raisedAt > T0)).toBe(true);
  expect((await store.rounds(tub)).days.length).toBeLessThan(10);
});
