import { expect, test } from 'vitest';
import type { AlertRecord } from '../../model/alerts/alert-life.ts';
import { dayBounds } from '../../model/civil-time.ts';
import { HOUR } from '../../model/readings.ts';
import { rules } from '../../model/rules/rules.ts';
import type { TubSetup } from '../../model/setup.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDays, type LoopDaysOptions, loopDays } from './loop-days.ts';

/*
 * What may raise no rule's alert and end none: clocks that change, a gap, a restart. What a broker kept from
 * before never comes so far: it is no reading. All rules of the list go round the same healthy loop, and one with a fault that stands.
 */

const setup: LoopDaysOptions['setup'] = {
  tub: { litres: 3000, targetC: 32 },
  backup: { kind: 'electric' },
};
const made = (more: LoopDaysOptions) =>
  loopDays({ kit: 'C', everyMs: 60_000, days: 3, tubC: 33, backupC: 32, setup, ...more });

/** The day on which the local clock changes is the second of three. */
const changes: [string, NonNullable<TubSetup['place']>, from: string, hours: number][] = [
  ['to summer in the north', at(52.5, 13.4, 'Europe/Berlin'), '2026-03-28', 23],
  ['to winter in the north', at(39.7, -105, 'America/Denver'), '2026-10-31', 25],
  ['to summer in the south', at(-33.4, -70.7, 'America/Santiago'), '2026-09-05', 23],
  ['to winter in the south', at(-41.3, 174.8, 'Pacific/Auckland'), '2026-04-04', 25],
];

function at(latitude: number, longitude: number, timeZone: string) {
  return { latitude, longitude, timeZone };
}

/** What is told above a note, as `fault point`. */
const told = (raised: readonly AlertRecord[]) =>
  raised
    .filter(({ severity }) => severity !== 'note')
    .map(({ fault, point }) => (point ? `${fault} ${point}` : fault));

for (const [name, place, from, hours] of changes) {
  test(`a clock that changes ${name} raises nothing and ends nothing`, () => {
    const { from: begins, to } = dayBounds(dayAfter(from), place.timeZone);
    expect((to - begins) / HOUR).toBe(hours);
    const options = { from, setup: { ...setup, place }, airC: { mean: 18, swing: 5 } };
    const healthy = goRound(made(options));
    expect(told(healthy.raised)).toEqual([]);
    expect(healthy.days.length).toBeGreaterThanOrEqual(2);
    const open = goRound(made({ ...options, bends: wireOff }));
    expect(told(open.raised)).toEqual(['sensor-open outdoor/temperature']);
    expect(open.raised[0]!.until).toBeNull();
  });
}

function dayAfter(date: string): string {
  return new Date(Date.parse(date) + 24 * HOUR).toISOString().slice(0, 10);
}

/** From noon of the first day on. */
const wireOff: LoopDaysOptions['bends'] = {
  'outdoor/temperature': (airC, { day }) => (day > 0.5 ? -127 : airC),
};

const calm = made({});
const broken = made({ bends: wireOff });
const noon = calm.from + 36 * HOUR;

test('a restart with a warm-up raises nothing, and what stood goes on', () => {
  const first = goRound(calm, { to: noon });
  expect(told(first.raised)).toEqual([]);
  expect(told(goRound(calm, { from: noon, days: first.days }).raised)).toEqual([]);
  const before = goRound(broken, { to: noon });
  expect(told(before.raised)).toEqual(['sensor-open outdoor/temperature']);
  const standing = before.raised.filter(({ until }) => until === null);
  const after = goRound(broken, { from: noon, days: before.days, standing });
  expect(told(after.raised)).toEqual([]);
  const ended = after.changes.filter(({ kind }) => kind === 'ended');
  expect(told(ended.map(({ alert }) => alert))).toEqual([]);
});

test('an hour of which nothing was heard raises nothing above it, and ends nothing', () => {
  const hour = (loop: LoopDays) => cutOut(loop.traces, noon, noon + HOUR);
  const silent = ['device-silent'];
  expect(told(goRound({ ...calm, traces: hour(calm) }).raised)).toEqual(silent);
  const gap = goRound({ ...broken, traces: hour(broken) });
  expect(told(gap.raised)).toEqual(['sensor-open outdoor/temperature', ...silent]);
  expect(gap.raised[0]!.until).toBeNull();
});

test('every rule of the list goes round, each once', () => {
  const ids = rules.map(({ fault }) => fault);
  expect(new Set(ids).size).toBe(ids.length);
  expect(ids.length).toBeGreaterThanOrEqual(45);
});
