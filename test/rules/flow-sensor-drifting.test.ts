import { expect, test } from 'vitest';
import type { DayFacts } from '../../model/alerts/rounds.ts';
import { HOUR } from '../../model/readings.ts';
import { flowSensorDrifting } from '../../model/rules/flow-sensor-drifting.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [flowSensorDrifting];
const DAY = 24 * HOUR;

/** Days of sun that warm a tub by some kelvin each; every midnight it is cool again. */
const made = (options: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'B',
    everyMs: 120_000,
    backupC: null,
    setup: { backup: { kind: 'none' } },
    happens: (scene) => {
      if (scene.hour < 0.01) scene.tubC = 28;
    },
    ...options,
  });
/** The meter tells this share of the flow. */
const telling = (share: number) => ({ 'pump/flow': (flow: number) => share * flow });

const known = new Map<number, DayFacts[]>();

/** Facts of days that went by: two that were gone round, again and again. */
function past(share: number, days: number, until: number) {
  const went =
    known.get(share) ?? goRound(made({ days: 3, bends: telling(share) }), { rules }).days;
  known.set(share, went);
  return Array.from({ length: days }, (_, i) => {
    const from = until - (days - i) * DAY;
    const date = new Date(from + 12 * HOUR).toISOString().slice(0, 10);
    return { ...structuredClone(went[i % 2]!), date, from, to: from + DAY };
  });
}

/** A few days of a meter that tells `share`, after five good days and nine like these. */
function drifting(share: number, options: LoopDaysOptions = {}) {
  const loop = made({ days: 6, bends: telling(share), ...options });
  const before = past(share, 9, loop.from);
  const good = past(1, 5, before[0]!.from);
  return { loop, days: [...good, ...before] };
}

for (const share of [0.75, 1.25]) {
  test(`a meter that tells ${share} of the flow is told, with what to multiply it by`, () => {
    const { loop, days } = drifting(share);
    const { raised } = goRound(loop, { rules, days });
    expect(raised).toHaveLength(1);
    const { evidence, severity, raisedAt } = raised[0]!;
    console.info(`told after ${(raisedAt - loop.from) / DAY} days as ${evidence.share}`);
    expect(severity).toBe('look');
    expect((raisedAt - loop.from) / DAY).toBeLessThanOrEqual(5);
    expect(Math.abs((evidence.share as number) - share)).toBeLessThan(0.03);
    expect((evidence.multiplyBy as number) * (evidence.share as number)).toBeCloseTo(1, 9);
  });
}

test('a meter that strays by an eighth is not told, nor one of which little is known', () => {
  const { loop, days } = drifting(0.88);
  expect(goRound(loop, { rules, days }).raised).toEqual([]);
  expect(goRound(drifting(0.75).loop, { rules }).raised).toEqual([]);
});

test('less water that truly moves is no meter that drifts', () => {
  const { loop, days } = drifting(1, {
    happens: (scene) => {
      if (scene.hour < 0.01) scene.tubC = 28;
      scene.lPerMin *= 0.7;
    },
  });
  expect(goRound(loop, { rules, days }).raised).toEqual([]);
});

test('it ends when the meter tells what it did in its first days', () => {
  const { loop, days } = drifting(0.75);
  const standing = goRound(loop, { rules, days }).raised.map((alert) => structuredClone(alert));
  const mended = made({ days: 4, from: '2026-01-27', bends: telling(1) });
  const since = past(1, 8, mended.from);
  const before = [...days.slice(0, 5), ...past(0.75, 6, since[0]!.from), ...since];
  const { changes } = goRound(mended, { rules, days: before, standing });
  expect(changes.map(({ kind }) => kind)).toEqual(['ended']);
});

test('a restart goes on with the days before, and days without readings end nothing', () => {
  const { loop, days } = drifting(0.75);
  const first = goRound(loop, { rules, days });
  const standing = first.raised.map((alert) => structuredClone(alert));
  const from = loop.from + 3.5 * DAY;
  const traces = cutOut(loop.traces, loop.from + 3 * DAY, loop.to);
  const before = [...days, ...first.days.slice(0, 3)];
  const again = goRound({ ...loop, traces }, { rules, from, days: before, standing });
  expect(standing).toHaveLength(1);
  expect(again.changes).toEqual([]);
});
