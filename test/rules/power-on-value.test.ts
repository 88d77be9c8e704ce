import { expect, test } from 'vitest';
import { HOUR } from '../../model/readings.ts';
import { powerOnValue } from '../../model/rules/power-on-value.ts';
import { goRound } from './go-round.ts';
import { loopDays, type Scene } from './loop-days.ts';

const rules = [powerOnValue];

/** Tells 85.0 °C `perDay` times on the first day. */
function restarts(perDay: number, points = ['tub/temperature']) {
  const bend = (value: number, { day, t }: Scene) =>
    day < 1 && t % ((24 * HOUR) / perDay) === 0 ? 85 : value;
  const bends = Object.fromEntries(points.map((point) => [point, bend]));
  return loopDays({ days: 3, everyMs: 60_000, bends });
}

test('six restarts in a day are noted, and over when they have become rare', () => {
  const made = restarts(8);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]).toMatchObject({ severity: 'note', point: 'tub/temperature' });
  expect(raised[0]!.until! - made.from).toBeGreaterThan(36 * HOUR);
});

test('four in a day are not', () => {
  expect(goRound(restarts(4), { rules }).raised).toEqual([]);
});

test('a board that restarts with two sensors is one note', () => {
  const { raised } = goRound(restarts(8, ['tub/temperature', 'collector/temperature']), { rules });
  expect(raised).toHaveLength(1);
});

test('collectors that pass smoothly through 85 °C did not restart', () => {
  const bends = {
    'collector/temperature': (_: number, { hour }: Scene) =>
      Math.round((85 + 4 * Math.sin(hour * 40)) * 2) / 2,
  };
  expect(goRound(loopDays({ everyMs: 10_000, bends }), { rules }).raised).toEqual([]);
});
