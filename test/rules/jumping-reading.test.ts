import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { jumpingReading } from '../../model/rules/jumping-reading.ts';
import { tubSensorOutOfWater } from '../../model/rules/tub-sensor-out-of-water.ts';
import { waterTooHot } from '../../model/rules/water-too-hot.ts';
import { goRound } from './go-round.ts';
import { cutOut, loopDays, type Scene } from './loop-days.ts';

const rules = [jumpingReading];
const others = [jumpingReading, waterTooHot, tubSensorOutOfWater];

/** Jumps by some kelvins every so many minutes between two and five in the morning. */
const jumps = (point: string, kelvins: number, everyMin: number) =>
  loopDays({
    everyMs: 30_000,
    bends: {
      [point]: (value: number, { hour, t }: Scene) =>
        hour >= 2 && hour < 5 && t % (everyMin * MINUTE) === 0 ? value + kelvins : value,
    },
  });

test('three jumps within an hour are told, and over after six calm hours', () => {
  const made = jumps('tub/temperature', 8, 15);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.raisedAt - made.from).toBeLessThan(3 * HOUR);
  const lastJump = made.from + 5 * HOUR - 15 * MINUTE;
  expect(raised[0]!.until! - lastJump).toBe(6 * HOUR);
});

test('a tub that is told of every two minutes jumps as well', () => {
  const bend = (value: number, { hour, t }: Scene) =>
    hour >= 2 && hour < 5 && t % (10 * MINUTE) === 0 ? value + 8 : value;
  const made = loopDays({ everyMs: 120_000, bends: { 'tub/temperature': bend } });
  expect(goRound(made, { rules: others }).raised.map(({ fault }) => fault)).toEqual([
    'jumping-reading',
  ]);
});

test('two an hour are not, and neither are small ones', () => {
  expect(goRound(jumps('tub/temperature', 8, 30), { rules }).raised).toEqual([]);
  expect(goRound(jumps('tub/temperature', 4, 10), { rules }).raised).toEqual([]);
  expect(goRound(jumps('collector/temperature', 15, 10), { rules }).raised).toEqual([]);
});

test('collectors that the pump empties and fills again do not jump', () => {
  const bends = {
    'collector/temperature': (value: number, { asked, t }: Scene) =>
      asked && t % (20 * MINUTE) < 30_000 ? value + 30 : value,
  };
  const happens = (scene: Scene) => {
    // runs in short spells: it starts anew every ten minutes
    if (scene.t % (10 * MINUTE) >= 5 * MINUTE) scene.pumpOn = false;
    if (!scene.pumpOn) scene.lPerMin = 0;
  };
  expect(goRound(loopDays({ everyMs: 30_000, bends, happens }), { rules }).raised).toEqual([]);
});

test('a step over a gap comes from the gap', () => {
  const made = loopDays({ everyMs: 30_000 });
  let traces = made.traces;
  for (let hour = 8; hour < 18; hour += 0.25) {
    const from = made.from + hour * HOUR;
    traces = cutOut(traces, from, from + 10 * MINUTE);
  }
  expect(goRound({ ...made, traces }, { rules }).raised).toEqual([]);
});

test('jumps on end make no tub too hot, and hang no sensor in the air, while or after they last', () => {
  let left = 0;
  let byK = 0;
  // every sixth reading begins a jump that lasts for one reading, or for two
  const bend = (value: number, { hour, day, t }: Scene) => {
    if (hour < 2 || hour >= 12 || day >= 1) return value;
    const n = Math.floor(t / 30_000);
    if (n % 6 === 0) [left, byK] = [1 + (Math.floor(n / 6) % 2), (n % 4 < 2 ? 1 : -1) * 12];
    return left-- > 0 ? value + byK : value;
  };
  const made = loopDays({ everyMs: 30_000, days: 2, bends: { 'tub/temperature': bend } });
  const { raised } = goRound(made, { rules: others });
  expect(raised.map(({ fault }) => fault)).toEqual(['jumping-reading']);
});

test('a tub that jumped and then grows too hot is told to be too hot', () => {
  const bend = (value: number, { hour, t }: Scene) => {
    if (hour >= 4) return 42;
    return hour >= 2 && t % (5 * MINUTE) === 0 ? value + 9 : value;
  };
  const made = loopDays({ everyMs: 30_000, bends: { 'tub/temperature': bend } });
  const { raised } = goRound(made, { rules: others });
  expect(raised.map(({ fault }) => fault)).toEqual(['jumping-reading', 'water-too-hot']);
  expect(raised[1]!.raisedAt - made.from).toBeLessThanOrEqual(4 * HOUR + 5 * MINUTE);
});
