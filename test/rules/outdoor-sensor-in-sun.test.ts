import { expect, test } from 'vitest';
import { HOUR } from '../../model/readings.ts';
import { outdoorSensorInSun } from '../../model/rules/outdoor-sensor-in-sun.ts';
import { goRound } from './go-round.ts';
import { type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [outdoorSensorInSun];
const plain = (options: LoopDaysOptions) =>
  loopDays({ kit: 'C', days: 12, everyMs: 300_000, ...options });

/** Some kelvins too much while the sun stands in the north-east, in the light there is. */
const inSun = (kelvins: number, toDay = 99) => ({
  'outdoor/temperature': (value: number, { sunAzimuthDeg, day, sunWPerM2 }: Scene) =>
    day < toDay && sunAzimuthDeg > 40 && sunAzimuthDeg < 75
      ? value + (kelvins * sunWPerM2) / 800
      : value,
});

test('a step up and down at the same sun on three days is told, and over after three without', () => {
  const made = plain({ bends: inSun(9, 6) });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.raisedAt - made.from).toBe(3 * 24 * HOUR);
  expect(raised[0]!.until! - made.from).toBe(9 * 24 * HOUR);
});

test('a step of three kelvins, and steps on two days only, are not', () => {
  expect(goRound(plain({ bends: inSun(3) }), { rules }).raised).toEqual([]);
  expect(goRound(plain({ bends: inSun(9, 2) }), { rules }).raised).toEqual([]);
});

test('hot wind and clearing fog step up but not back, and fronts come at any hour', () => {
  const bends = {
    'outdoor/temperature': (value: number, { day, hour }: Scene) => {
      const fog = hour > 9.5 && hour < 20 ? 5 * Math.exp(-Math.max(0, hour - 12) / 3) : 0;
      const front = Math.abs(hour - 9 - ((Math.floor(day) * 3.7) % 9)) < 0.7 ? 5 : 0;
      return value + (day % 2 < 1 ? fog : front);
    },
  };
  expect(goRound(plain({ bends }), { rules }).raised).toEqual([]);
});
