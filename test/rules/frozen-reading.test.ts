import { expect, test } from 'vitest';
import { usualOf } from '../../model/minutes/usual.ts';
import { HOUR } from '../../model/readings.ts';
import { frozenReading } from '../../model/rules/frozen-reading.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [frozenReading];

/** Holds what a point told at one day's hour until another. */
function held(point: string, fromDay: number, toDay: number, options: LoopDaysOptions = {}) {
  let value: number | null = null;
  const bend = (now: number, { day }: Scene) => {
    if (day < fromDay || day >= toDay) return now;
    value ??= now;
    return value;
  };
  return loopDays({ kit: 'C', days: 2, everyMs: 60_000, ...options, bends: { [point]: bend } });
}

for (const [point, fromHour, withinHours] of [
  ['collector/temperature', 8, 2.5],
  ['tub/temperature', 8, 6],
  ['collector/inlet', 8, 4],
  ['collector/outlet', 8, 3],
  ['outdoor/temperature', 8, 6],
  ['collector/irradiance', 10, 2.5],
] as const) {
  test(`${point} that stands still through a sunny day is told, and over when it moves`, () => {
    const made = held(point, fromHour / 24, 20 / 24, { days: 1 });
    const { raised } = goRound(made, { rules });
    expect(raised.map((alert) => alert.point)).toEqual([point]);
    const [alert] = raised;
    const hours = (alert!.raisedAt - made.from) / HOUR - fromHour;
    console.info(`${point}: told after ${hours.toFixed(1)} h`);
    expect(hours).toBeLessThanOrEqual(withinHours);
    expect(Math.abs(alert!.since - made.from - fromHour * HOUR)).toBeLessThan(HOUR / 4);
    expect(alert!.until! - made.from - 20 * HOUR).toBeLessThanOrEqual(HOUR / 4);
  });
}

test('a flow that stays after the pump stopped is frozen; one that stays while it runs is steady', () => {
  const made = held('pump/flow', 13 / 24, 23 / 24, { days: 1 });
  const { raised } = goRound(made, { rules });
  expect(raised.map(({ point }) => point)).toEqual(['pump/flow']);
  const running = held('pump/flow', 10 / 24, 12 / 24, { days: 1, tubC: 30, backupC: null });
  expect(goRound(running, { rules }).raised).toEqual([]);
});

test('a short stand is none', () => {
  for (const point of ['tub/temperature', 'collector/outlet', 'outdoor/temperature']) {
    expect(goRound(held(point, 0.1, 0.2, { days: 1 }), { rules }).raised).toEqual([]);
  }
});

test('coarse sensors over a still night, a day of fog and a day of rain are calm, not frozen', () => {
  for (const [noiseK, sky] of [
    [0, 0.02],
    [0.1, 0.05],
  ] as const) {
    const made = loopDays({
      kit: 'C',
      days: 3,
      everyMs: 60_000,
      stepK: 0.5,
      noiseK,
      airC: { mean: 12, swing: 0.2 },
      sky: () => sky,
    });
    expect(goRound(made, { rules }).raised).toEqual([]);
  }
});

test('coarse sensors on sunny days are calm for an hour and no longer', () => {
  const made = loopDays({ kit: 'C', days: 3, everyMs: 60_000, stepK: 0.5, noiseK: 0 });
  expect(goRound(made, { rules }).raised).toEqual([]);
  const [alert] = goRound(held('collector/temperature', 0.3, 0.8, { stepK: 0.5 }), {
    rules,
  }).raised;
  expect(alert?.point).toBe('collector/temperature');
});

test('silence is no frozen reading, and rounds begun anew find one that was frozen before', () => {
  const made = loopDays({ kit: 'C', everyMs: 60_000 });
  const traces = cutOut(made.traces, made.from + 8 * HOUR, made.from + 20 * HOUR);
  expect(goRound({ ...made, traces }, { rules }).raised).toEqual([]);
  const frozen = held('collector/temperature', 8 / 24, 20 / 24, { days: 1 });
  const { raised } = goRound(frozen, { rules, from: frozen.from + 15 * HOUR });
  expect(raised.map(({ point }) => point)).toEqual(['collector/temperature']);
});

test('a gateway that repeats everything it said is one alert, and soon told', () => {
  const points = [
    'tub/temperature',
    'collector/temperature',
    'collector/inlet',
    'collector/outlet',
  ];
  const held = new Map<string, number>();
  const bends = Object.fromEntries(
    points.map((point) => [
      point,
      (value: number, { hour }: Scene) => {
        if (hour < 12 || hour >= 16) return value;
        if (!held.has(point)) held.set(point, value);
        return held.get(point)!;
      },
    ]),
  );
  const made = loopDays({ kit: 'C', everyMs: 60_000, tubC: 30, backupC: null, bends });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.evidence.together).toBe(points.length);
  expect((raised[0]!.raisedAt - made.from) / HOUR - 12).toBeLessThan(0.6);
  expect((raised[0]!.until! - made.from) / HOUR - 16).toBeLessThan(0.3);
});

test('coarse collectors that a warming tub and a sinking sun hold where they are stand still by right', () => {
  const options: LoopDaysOptions = { kit: 'C', days: 1, everyMs: 60_000, stepK: 0.5, tubC: 34 };
  const { settings } = loopDays(options);
  const { fullSunK } = usualOf([], settings);
  const afternoon = (hour: number) => hour >= 11 && hour < 15;
  const standing = (sinks: boolean) =>
    loopDays({
      ...options,
      bends: {
        'collector/temperature': (now, { hour }) => (afternoon(hour) ? 44 : now),
        'collector/irradiance': (now, { hour, tubC }) =>
          afternoon(hour) && sinks ? (900 * (44 - tubC)) / fullSunK : now,
      },
    });
  const told = (sinks: boolean) =>
    goRound(standing(sinks), { rules }).raised.map(({ point }) => point);
  expect(told(true)).toEqual([]);
  expect(told(false)).toEqual(['collector/temperature']);
});

test('collectors in which water boils stand still by right', () => {
  const boils = (now: number) => Math.min(now, 100.5);
  const dead = (scene: Scene) => {
    if (scene.hour < 10) return;
    [scene.pumpOn, scene.lPerMin] = [false, 0];
  };
  const made = loopDays({
    kit: 'C',
    days: 1,
    everyMs: 60_000,
    happens: dead,
    bends: { 'collector/temperature': boils },
  });
  const { v } = made.traces.get('collector/temperature')!;
  expect([...v].filter((c) => c === 100.5).length).toBeGreaterThan(150);
  expect(goRound(made, { rules }).raised).toEqual([]);
});
