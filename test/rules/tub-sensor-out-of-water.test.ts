import { expect, test } from 'vitest';
import { tubSensorOutOfWater } from '../../model/rules/tub-sensor-out-of-water.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const HOUR = 3_600_000;
const rules = [tubSensorOutOfWater];
const made = (options: LoopDaysOptions, days = 3) =>
  loopDays({ everyMs: 60_000, days, ...options });
const hanging =
  (from: number, to: number, share = 0.12) =>
  (value: number, { day, airC, tubC }: Scene) =>
    day >= from && day < to ? airC + share * (tubC - airC) : value;

for (const kit of ['A', 'B', 'C'] as const) {
  for (const from of [1, 1.5]) {
    test(`a sensor that hangs in the air is told within hours and ends with it: kit ${kit}, from day ${from}`, () => {
      const loop = made({ kit, bends: { 'tub/temperature': hanging(from, from + 1) } });
      const { raised } = goRound(loop, { rules });
      expect(raised).toHaveLength(1);
      const hours = (raised[0]!.raisedAt - loop.from) / HOUR - 24 * from;
      expect(hours).toBeGreaterThanOrEqual(1);
      expect(hours).toBeLessThan(2);
      expect(raised[0]!.severity).toBe('act');
      expect((raised[0]!.until! - loop.from) / HOUR - 24 * (from + 1)).toBeLessThan(2);
    });
  }
}

test('water from the tub gives a sensor away that was out from the beginning', () => {
  const loop = made({ kit: 'B', bends: { 'tub/temperature': hanging(0, 9) } }, 1);
  const { raised } = goRound(loop, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.evidence.fromTubC).not.toBeNull();
});

test('baths, a party, top-ups and a sensor lifted for a moment are not told', () => {
  const poured = (scene: Scene) => {
    if (scene.hour >= 10 && scene.hour < 10.5) scene.tubC -= 2.4 / 180;
  };
  const lifted = (value: number, { hour }: Scene) => (hour > 20 && hour < 20.4 ? value - 9 : value);
  for (const kit of ['A', 'C'] as const) {
    const party = made({ kit, baths: [[16, 23]], airC: { mean: 4, swing: 4 } });
    expect(goRound(party, { rules }).raised).toEqual([]);
    expect(goRound(made({ kit, happens: poured }), { rules }).raised).toEqual([]);
    expect(goRound(made({ kit, bends: { 'tub/temperature': lifted } }), { rules }).raised).toEqual(
      [],
    );
  }
});

test('new cold water that the backup warms is not told', () => {
  const changed = (scene: Scene) => {
    if (scene.day >= 1.9 && scene.day < 1.94) scene.tubC += (15 - scene.tubC) / 60;
  };
  for (const kit of ['A', 'C'] as const) {
    const loop = made({ kit, happens: changed });
    const tub = loop.traces.get('tub/temperature')!;
    expect(Math.min(...tub.v)).toBeLessThan(17);
    expect(goRound(loop, { rules }).raised).toEqual([]);
  }
});

test('a gap and a restart raise nothing and end nothing', () => {
  const healthy = made({ kit: 'B' });
  const gap = new Map(cutOut(healthy.traces, healthy.from + 10 * HOUR, healthy.from + 15 * HOUR));
  expect(goRound({ ...healthy, traces: gap }, { rules }).raised).toEqual([]);
  const loop = made({ kit: 'A', bends: { 'tub/temperature': hanging(0.5, 9) } }, 4);
  const { raised } = goRound(loop, { rules, to: loop.from + 30 * HOUR });
  const standing = raised.map((alert) => structuredClone(alert));
  const silent = new Map(cutOut(loop.traces, loop.from + 60 * HOUR, loop.from + 62 * HOUR));
  const again = goRound(
    { ...loop, traces: silent },
    { rules, from: loop.from + 50 * HOUR, standing },
  );
  expect(standing).toHaveLength(1);
  expect(again.changes).toEqual([]);
  expect(standing[0]!.until).toBeNull();
});

test('a tub that is filled up with much cold water, far above the air, is not told', () => {
  // nothing heats it again, and by day nothing stands for the air but its own sensor
  const filled = (scene: Scene) => {
    if (scene.day >= 1.9 && scene.day < 1.915) scene.tubC -= 7.5 / 130;
  };
  const airC = { mean: 12, swing: 3 };
  const loop = made({ kit: 'C', happens: filled, backupC: null, airC, tubC: 38 });
  const { t, v } = loop.traces.get('tub/temperature')!;
  const at = (day: number) => v[t.findIndex((each) => each >= loop.from + day * 24 * HOUR)]!;
  expect(at(1.9) - at(1.93)).toBeGreaterThan(6);
  expect(goRound(loop, { rules }).raised).toEqual([]);
});
