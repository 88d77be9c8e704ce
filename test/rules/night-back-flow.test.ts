import { expect, test } from 'vitest';
import { nightBackFlow } from '../../model/rules/night-back-flow.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const HOUR = 3_600_000;
const rules = [nightBackFlow];
const cold = { mean: 14, swing: 4 };
const setup = { backup: { kind: 'none' as const } };

/** Water that creeps backwards at night: the collectors are warm by a share, the tub loses more. */
const creeps = (from: number, to: number, share: number): LoopDaysOptions => ({
  bends: {
    'collector/temperature': (value, { day, sunDeg, airC, tubC }: Scene) =>
      day >= from && day < to && sunDeg < -3 ? airC + share * (tubC - airC) : value,
  },
  happens: (scene) => {
    if (scene.day < from || scene.day >= to || scene.sunDeg >= -3) return;
    scene.tubC -= (10 * (2.2 * share) * (scene.tubC - scene.airC) * 10) / 4.16e6;
  },
});
const made = (options: LoopDaysOptions, days = 10) =>
  loopDays({ everyMs: 120_000, days, airC: cold, backupC: null, tubC: 37, setup, ...options });

for (const kit of ['A', 'C'] as const) {
  test(`warm collectors in two nights are told after the second, and end: kit ${kit}`, () => {
    const loop = made({ kit, ...creeps(3.5, 6.5, 0.5) });
    const { raised } = goRound(loop, { rules });
    expect(raised).toHaveLength(1);
    expect((raised[0]!.raisedAt - loop.from) / (24 * HOUR)).toBe(6);
    expect((raised[0]!.until! - loop.from) / (24 * HOUR)).toBe(9);
  });
}

test('a trickle below the threshold, and one night alone, are not told', () => {
  expect(goRound(made({ kit: 'C', ...creeps(2.5, 8, 0.16) }, 6), { rules }).raised).toEqual([]);
  expect(goRound(made({ kit: 'C', ...creeps(3.5, 4.5, 0.5) }, 7), { rules }).raised).toEqual([]);
});

test('mild nights, warm by the air, are not told', () => {
  const mild = { mean: 26, swing: 4 };
  for (const kit of ['A', 'C'] as const) {
    expect(goRound(made({ kit, airC: mild }, 5), { rules }).raised, kit).toEqual([]);
    const turns = made({ kit }, 4);
    const warm = made({ kit, airC: mild, from: '2026-01-16' }, 4);
    const days = goRound(turns, { rules }).days;
    expect(goRound(warm, { rules, days }).raised, kit).toEqual([]);
  }
});

test('a worn cover, with collectors as cold as ever, is not told', () => {
  const worn = (scene: Scene) => {
    if (scene.day > 3) scene.tubC -= (8 * (scene.tubC - scene.airC) * 10) / 4.16e6;
  };
  for (const kit of ['A', 'C'] as const) {
    expect(goRound(made({ kit, happens: worn }, 6), { rules }).raised).toEqual([]);
  }
});

test('a restart keeps what was told, and a night without readings ends nothing', () => {
  const loop = made({ kit: 'C', ...creeps(1.5, 20, 0.4) }, 7);
  const until = loop.from + 4.2 * 24 * HOUR;
  const first = goRound(loop, { rules, to: until });
  const standing = first.raised.map((alert) => structuredClone(alert));
  const traces = new Map(cutOut(loop.traces, until + 2 * HOUR, until + 6 * HOUR));
  const again = goRound({ ...loop, traces }, { rules, from: until, days: first.days, standing });
  expect(standing).toHaveLength(1);
  expect(again.changes).toEqual([]);
});
