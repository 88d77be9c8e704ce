import { expect, test } from 'vitest';
import { nothingOutside, type Outside } from '../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { clockWrong } from '../../model/rules/clock-wrong.ts';
import { goRound } from './go-round.ts';
import { type LoopDays, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [clockWrong];
const baths = [[19, 20.5]] as const;
const plain = (options: LoopDaysOptions = {}) =>
  loopDays({ days: 9, everyMs: 120_000, tubC: 34, backupC: null, baths, ...options });

/** Everything is told with times that are off between two days. */
function shifted(made: LoopDays, offMs: number, fromDay: number, toDay: number): LoopDays {
  const [from, to] = [fromDay, toDay].map((day) => made.from + day * 24 * HOUR) as [number, number];
  const traces = new Map(
    [...made.traces].map(([point, { t, v }]) => {
      const rows = [...t.keys()].map((i) => ({
        t: t[i]! >= from && t[i]! < to ? t[i]! + offMs : t[i]!,
        v: v[i]!,
      }));
      rows.sort((a, b) => a.t - b.t);
      return [
        point,
        { t: Float64Array.from(rows, (r) => r.t), v: Float64Array.from(rows, (r) => r.v) },
      ];
    }),
  );
  return { ...made, traces };
}

test('messages that carry times two hours ahead are told after ten, and over when they are right', () => {
  const made = loopDays({ everyMs: 300_000 });
  const outside = (t: number): Outside => {
    const n = (t - made.from) / MINUTE;
    const isOff = n > 60 && n <= 120;
    const clocks = new Map(
      isOff ? [['tub/temperature', { offMs: 2 * HOUR, messages: n - 60 }]] : [],
    );
    return { ...nothingOutside, clocks };
  };
  const { raised } = goRound(made, { rules, outside, sliceMs: MINUTE, to: made.from + 4 * HOUR });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.evidence).toMatchObject({ offMinutes: 120, wholeHours: 2 });
  expect(raised[0]!.raisedAt - made.from).toBe(80 * MINUTE);
});

test('times that are off by two minutes, or by hours in a few messages, are not told', () => {
  const made = loopDays({ everyMs: 300_000 });
  for (const clock of [
    { offMs: 110_000, messages: 500 },
    { offMs: -HOUR, messages: 9 },
  ]) {
    const outside = () => ({ ...nothingOutside, clocks: new Map([['tub/temperature', clock]]) });
    const { raised } = goRound(made, { rules, outside, to: made.from + 3 * HOUR });
    expect(raised).toEqual([]);
  }
});

for (const kit of ['A', 'C'] as const) {
  test(`kit ${kit} finds an hour that was missed by three mornings of the loop`, () => {
    const made = shifted(plain({ kit }), -HOUR, 4, 9);
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    expect(raised[0]!.evidence.offMinutes).toBeLessThan(-40);
    expect(raised[0]!.evidence.offMinutes).toBeGreaterThan(-80);
    expect(raised[0]!.raisedAt - made.from).toBeLessThan(8.1 * 24 * HOUR);
  });

  test(`kit ${kit} finds an hour that was added, in mornings and evenings`, () => {
    const made = shifted(plain({ kit, days: 11 }), HOUR, 4, 11);
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    expect(raised[0]!.evidence.offMinutes).toBeGreaterThan(40);
    expect(raised[0]!.raisedAt - made.from).toBeLessThan(8.1 * 24 * HOUR);
  });

  test(`kit ${kit} takes half an hour for granted`, () => {
    expect(goRound(shifted(plain({ kit }), -0.4 * HOUR, 4, 9), { rules }).raised).toEqual([]);
  });

  test(`shade until ten and after three, new on the fifth day, is no wrong clock in kit ${kit}`, () => {
    for (const [from, to] of [
      [10.5, 24],
      [0, 14.5],
      [10.5, 14.5],
    ] as const) {
      const made = plain({ kit });
      const hourOf = (t: number) => ((t - made.from) / HOUR) % 24;
      const sky = (t: number, day: number) =>
        day < 4 || (hourOf(t) > from && hourOf(t) < to) ? 1 : 0.15;
      expect(goRound(plain({ kit, sky }), { rules }).raised).toEqual([]);
    }
  });
}

test('an hour is found though the collectors are slow to warm, and clouds hide it on two days of five', () => {
  // the sensor follows its water by twenty minutes
  const lagging = () => {
    let shownC = 15;
    return (value: number) => {
      shownC += (value - shownC) / 10;
      return shownC;
    };
  };
  const hidden = (t: number, day: number) =>
    [1, 5, 7].includes(Math.floor(day)) && ((t - calm.from) / HOUR) % 24 < 10 ? 0.1 : 1;
  const calm = plain({ days: 0 });
  const made = plain({
    days: 11,
    sky: hidden,
    bends: { 'collector/temperature': lagging() },
  });
  const { raised } = goRound(shifted(made, -HOUR, 4, 11), { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.raisedAt - made.from).toBeLessThan(9.1 * 24 * HOUR);
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('a loop through the change to winter time is not told', () => {
  const made = plain({ from: '2026-04-01', days: 9 });
  expect(goRound(made, { rules }).raised).toEqual([]);
});
