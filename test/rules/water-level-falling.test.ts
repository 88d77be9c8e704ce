import { expect, test } from 'vitest';
import type { DayFacts } from '../../model/alerts/rounds.ts';
import { addDays } from '../../model/civil-time.ts';
import { MINUTE } from '../../model/readings.ts';
import { waterLevelFalling } from '../../model/rules/water-level-falling.ts';
import { goRound } from './go-round.ts';
import { type LoopDays, loopDays } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [waterLevelFalling];
const made = loopDays({ kit: 'B', everyMs: 60_000 });

/** A day on which the level switch says 0 between two hours. */
function low(fromHour: number, toHour: number, telledUntil = 24): LoopDays {
  const t = made.traces
    .get('tub/temperature')!
    .t.filter((at) => at < made.from + telledUntil * HOUR);
  const isLow = (at: number) => at >= made.from + fromHour * HOUR && at < made.from + toHour * HOUR;
  const v = t.map((at) => (isLow(at) ? 0 : 1));
  return { ...made, traces: new Map([...made.traces, ['tub/level', { t, v }]]) };
}

test('a level switch that says too low for ten minutes is told, and ends hours after it is well', () => {
  const { raised } = goRound(low(9, 14), { rules });
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - made.from) / MINUTE).toBeCloseTo(9 * 60 + 11, -1);
  expect(raised[0]!.until).not.toBeNull();
});

test('a wave of a few minutes is no low water, and silence ends nothing', () => {
  expect(goRound(low(9, 9.1), { rules }).raised).toEqual([]);
  const silent = goRound(low(9, 24, 10), { rules });
  expect(silent.raised).toHaveLength(1);
  expect(silent.raised[0]!.until).toBeNull();
});

test('a restart beside water that is low finds it again', () => {
  const { raised } = goRound(low(9, 20), { rules, from: made.from + 12 * HOUR });
  expect(raised).toHaveLength(1);
});

const first = Date.parse('2025-12-01T11:00:00Z');
/** Days before, with what they tell of the water. */
const past = (capacity: readonly number[], losses: readonly number[]): DayFacts[] =>
  capacity.map((capacityShare, i) => ({
    date: addDays('2025-12-02', i),
    from: first + i * 24 * HOUR,
    to: first + (i + 1) * 24 * HOUR,
    usual: {
      lPerMin: null,
      pumpW: null,
      middayK: null,
      highestStartC: null,
      highestRunC: null,
      hotStopsC: [],
    },
    facts: { 'water-level-falling': { capacityShare, wPerK: losses[i]! } },
  }));
const steady = (value: number, days: number) =>
  Array.from({ length: days }, (_, i) => value * (1 + 0.03 * Math.sin(9 * i)));
const raisedAfter = (days: DayFacts[]) => goRound(made, { rules, days }).raised;

test('without a switch, less capacity by day and faster cooling by night together tell it', () => {
  const capacity = [...steady(1, 10), ...steady(0.78, 8)];
  const losses = [...steady(10, 10), ...steady(12.4, 8)];
  const raised = raisedAfter(past(capacity, losses));
  expect(raised.map(({ severity }) => severity)).toEqual(['look']);
});

test('a flow meter that drifts, or a wet cover, is no missing water', () => {
  const drifting = past([...steady(1, 10), ...steady(0.78, 8)], steady(10, 18));
  expect(raisedAfter(drifting)).toEqual([]);
  const cover = past(steady(1, 18), [...steady(10, 10), ...steady(14, 8)]);
  expect(raisedAfter(cover)).toEqual([]);
});

test('a tenth less water, or too few days, is not told', () => {
  const tenth = past(
    [...steady(1, 10), ...steady(0.9, 8)],
    [...steady(10, 10), ...steady(11.1, 8)],
  );
  expect(raisedAfter(tenth)).toEqual([]);
  const few = past([...steady(1, 4), ...steady(0.7, 7)], [...steady(10, 4), ...steady(13, 7)]);
  expect(raisedAfter(few)).toEqual([]);
});

test('the heat of sunny days tells how much water there is', () => {
  const days = loopDays({
    kit: 'C',
    everyMs: 120_000,
    days: 3,
    tubC: 30,
    setup: { backup: { kind: 'none' } },
    backupC: null,
  });
  const facts = goRound(days, { rules }).days.map((day) => day.facts['water-level-falling']);
  const shares = facts.flatMap((fact) => (fact as { capacityShare: number } | undefined) ?? []);
  console.info('capacity as a share of the litres entered:', shares);
  expect(shares.length).toBeGreaterThan(0);
  for (const { capacityShare } of shares) expect(Math.abs(capacityShare - 1)).toBeLessThan(0.12);
});
