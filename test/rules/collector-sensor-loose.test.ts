import { expect, test } from 'vitest';
import { collectorSensorLoose } from '../../model/rules/collector-sensor-loose.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const DAY = 86_400_000;
const rules = [collectorSensorLoose];
const setup = { tub: { litres: 3000 } };
const made = (options: LoopDaysOptions, days = 7) =>
  loopDays({ everyMs: 60_000, days, setup, tubC: 30, backupC: null, ...options });
const slipped = (from: number, to = 99) => ({
  'collector/temperature': (value: number, { day, airC, collectorC, sunWPerM2 }: Scene) =>
    day >= from && day < to ? airC + 0.15 * (collectorC - airC) + sunWPerM2 / 160 : value,
});

for (const kit of ['A', 'B', 'C'] as const) {
  test(`a sensor in the air is told after two sunny days and ends after two more: kit ${kit}`, () => {
    const loop = made({ kit, bends: slipped(3, 5) }, 9);
    const { raised } = goRound(loop, { rules });
    expect(raised).toHaveLength(1);
    expect((raised[0]!.raisedAt - loop.from) / DAY).toBe(5);
    expect((raised[0]!.until! - loop.from) / DAY).toBe(7);
    expect(raised[0]!.evidence.aboveTubK).toBeLessThan(0);
  });
}

test('healthy loops, in sun and broken cloud, with coarse and slow sensors, are not told', () => {
  const broken = (t: number) => (Math.floor(t / 1_500_000) % 2 === 0 ? 1 : 0.2);
  for (const options of [
    {},
    { sky: broken },
    { stepK: 0.5, sky: broken },
    { everyMs: 180_000 },
    { sky: () => 0.4 },
  ]) {
    expect(goRound(made({ kit: 'B', ...options }, 4), { rules }).raised).toEqual([]);
  }
});

test('one bad day, and days without sun, prove nothing', () => {
  expect(goRound(made({ kit: 'B', bends: slipped(3, 4) }), { rules }).raised).toEqual([]);
  const dull = made({ kit: 'B', bends: slipped(2), sky: (_, day) => (day < 2 ? 1 : 0.05) });
  expect(goRound(dull, { rules }).raised).toEqual([]);
});

test('a restart goes on with the days before, and a silent day ends nothing', () => {
  const loop = made({ kit: 'B', bends: slipped(2) }, 7);
  const from = loop.from + 4.5 * DAY;
  const first = goRound(loop, { rules, to: from });
  const standing = first.raised.map((alert) => structuredClone(alert));
  const traces = new Map(cutOut(loop.traces, from, from + DAY));
  const again = goRound({ ...loop, traces }, { rules, from, days: first.days, standing });
  expect(standing).toHaveLength(1);
  expect(again.changes).toEqual([]);
});
