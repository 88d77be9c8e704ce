import { expect, test } from 'vitest';
import { heatThrownAway } from '../../model/rules/heat-thrown-away.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const HOUR = 3_600_000;
const rules = [heatThrownAway];
const setup = { collectors: { count: 8 }, tub: { litres: 4000, limitC: 55 } };
const made = (options: LoopDaysOptions, days = 4) =>
  loopDays({ everyMs: 60_000, days, setup, tubC: 33, backupC: null, ...options });

/** A controller that goes on after the sun has gone until the collectors are this much colder. */
function lateOff(from: number, to: number, offK: number) {
  let asked = false;
  return (scene: Scene) => {
    const differenceK = scene.collectorC - scene.tubC;
    asked = scene.sunDeg > -2.5 && (asked ? differenceK > offK : differenceK > 8);
    if (scene.day < from || scene.day >= to || !asked) return;
    scene.asked = true;
    scene.pumpOn = true;
    scene.lPerMin = 3.5;
    scene.pumpW = 13;
  };
}

for (const kit of ['A', 'B'] as const) {
  test(`a pump that stops late is told the same day, by kWh, and ends within a day: kit ${kit}`, () => {
    const loop = made({ kit, happens: lateOff(1, 2, -9) });
    const { raised } = goRound(loop, { rules });
    expect(raised).toHaveLength(1);
    expect((raised[0]!.raisedAt - loop.from) / HOUR).toBeLessThan(48);
    expect(raised[0]!.evidence.thrownAwayKwh).toBeGreaterThanOrEqual(0.3);
    expect(raised[0]!.severity).toBe(raised[0]!.costKwh! >= 1 ? 'act' : 'look');
    expect((raised[0]!.until! - loop.from) / HOUR).toBeLessThan(73);
  });

  test(`a healthy loop, and one that stops a little late, are not told: kit ${kit}`, () => {
    expect(goRound(made({ kit }), { rules }).raised).toEqual([]);
    expect(goRound(made({ kit, happens: lateOff(1, 2, 0) }), { rules }).raised).toEqual([]);
  });
}

test('a pair that tells a little more than there is hides no heat that is thrown away', () => {
  const gains = (value: number, { tubC }: Scene) => Math.max(value, tubC + 0.4);
  const bends = { 'collector/outlet': gains };
  const loop = made({ kit: 'B', happens: lateOff(1, 2, -9), bends });
  const { raised } = goRound(loop, { rules });
  expect(raised).toHaveLength(1);
  const { backLessAwayK, differenceK } = raised[0]!.evidence as Record<string, number>;
  console.info(`outlet less inlet ${backLessAwayK} K, collectors less tub ${differenceK} K`);
  expect(backLessAwayK).toBeGreaterThan(0);
  expect(goRound(made({ kit: 'B', bends }), { rules }).raised).toEqual([]);
});

test('a freeze run and cooling on purpose throw nothing away', () => {
  const run = (isOn: (scene: Scene) => boolean) => (scene: Scene) => {
    if (!isOn(scene)) return;
    scene.pumpOn = true;
    scene.lPerMin = 3.5;
  };
  const frost = { 'collector/temperature': () => 4 };
  const morning = run(({ hour }) => hour > 6 && hour < 8);
  expect(goRound(made({ kit: 'A', happens: morning, bends: frost }), { rules }).raised).toEqual([]);
  const cools = run(({ sunDeg, hour }) => sunDeg > -3 && hour > 19);
  const over = { ...setup, tub: { limitC: 33 } };
  const air = { mean: 5, swing: 3 };
  const loop = made({ kit: 'A', tubC: 40, happens: cools, setup: over, airC: air }, 1);
  expect(goRound(loop, { rules }).raised).toEqual([]);
});

test('sensors that always differed, and a collector sensor in the air, are not told', () => {
  const off = { 'collector/temperature': (value: number) => value - 2.5 };
  expect(goRound(made({ kit: 'A', bends: off }), { rules }).raised).toEqual([]);
  const loose = {
    'collector/temperature': (_: number, { airC, collectorC, sunWPerM2 }: Scene) =>
      airC + 0.15 * (collectorC - airC) + sunWPerM2 / 120,
  };
  for (const kit of ['A', 'B'] as const) {
    expect(goRound(made({ kit, bends: loose }), { rules }).raised, kit).toEqual([]);
  }
});

test('a gap and a restart tell it once, and end nothing', () => {
  const loop = made({ kit: 'B', happens: lateOff(1, 9, -9) });
  const to = loop.from + 47 * HOUR;
  const standing = goRound(loop, { rules, to }).raised.map((alert) => structuredClone(alert));
  expect(standing).toHaveLength(1);
  const traces = new Map(cutOut(loop.traces, to + 5 * HOUR, to + 9 * HOUR));
  const again = goRound({ ...loop, traces }, { rules, from: to, standing });
  expect(again.changes.filter(({ kind }) => kind !== 'worse')).toEqual([]);
});
