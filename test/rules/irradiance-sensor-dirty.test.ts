import { expect, test } from 'vitest';
import { HOUR } from '../../model/readings.ts';
import { irradianceSensorDirty } from '../../model/rules/irradiance-sensor-dirty.ts';
import { goRound } from './go-round.ts';
import { type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [irradianceSensorDirty];
const DAY = 24 * HOUR;
const plain = (options: LoopDaysOptions) =>
  loopDays({
    kit: 'C',
    days: 40,
    everyMs: 300_000,
    tubC: 34,
    backupC: null,
    baths: [[19, 21.5]],
    ...options,
  });
const sees = (share: (day: number) => number) => ({
  'collector/irradiance': (value: number, { day }: Scene) => value * share(day),
});

test('a sensor that sees a fifth less while the loop brings what it did is told, and wiped', () => {
  const bends = sees((day) => (day < 12 || day > 32 ? 1 : 0.8));
  const made = plain({ bends, days: 45 });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const days = (raised[0]!.raisedAt - made.from) / DAY;
  console.info(`told ${days - 12} days after the dust`);
  expect(days).toBeLessThanOrEqual(12 + 15);
  expect(raised[0]!.evidence.lightShare).toBeCloseTo(0.8, 1);
  expect(raised[0]!.until).not.toBeNull();
});

test('a tenth less is not told', () => {
  expect(goRound(plain({ bends: sees((day) => (day < 12 ? 1 : 0.9)) }), { rules }).raised).toEqual(
    [],
  );
});

test('haze takes light and heat alike', () => {
  const sky = (_: number, day: number) => (day < 12 ? 1 : 0.78);
  expect(goRound(plain({ sky }), { rules }).raised).toEqual([]);
});
