import { expect, test } from 'vitest';
import { limitReachedOften } from '../../model/rules/limit-reached-often.ts';
import { goRound } from './go-round.ts';
import { loopDays } from './loop-days.ts';
import { judgedBy } from './past-days.ts';

const rules = [limitReachedOften];
const judged = (minutes: readonly number[]) =>
  judgedBy(
    limitReachedOften,
    minutes.map((rest) => ({ minutes: rest })),
  );

test('a pump that rests for more than an hour on five days of seven is told, with the hours', () => {
  expect(judged([0, 90, 90, 0, 120, 61, 90])).toMatchObject({
    since: Date.parse('2026-01-02'),
    evidence: { days: 5, of: 7, hours: (4 * 90 + 120 - 90 + 61) / 60 },
  });
});

test('four days of seven are not told, nor an hour that is not passed', () => {
  expect(judged([0, 90, 90, 0, 120, 0, 90])).toBe('between');
  expect(judged([90, 90, 60, 60, 60, 90, 90])).toBe('between');
});

test('it is gone with two such days left in a week, not with three', () => {
  const week = Array.from({ length: 7 }, () => 90);
  expect(judged([...week, 0, 0, 0, 0])).toBe('between');
  expect(judged([...week, 0, 0, 0, 0, 0])).toBe('gone');
});

test('with less than a week of days nothing can be told', () => {
  expect(judged([200, 200, 200, 200, 200, 200])).toBe('blind');
});

const summer = (limitC: number) =>
  loopDays({
    days: 8,
    everyMs: 120_000,
    tubC: 36,
    backupC: null,
    airC: { mean: 22, swing: 5 },
    setup: {
      tub: { litres: 1000, targetC: 36, limitC },
      collectors: { count: 3, areaM2: 2 },
    },
  });

test('much glass on a small tub in summer is told after a week', () => {
  const small = summer(38);
  const { raised, days } = goRound(small, { rules });
  console.info(`at rest: ${days.map(({ facts }) => JSON.stringify(facts)).join(' ')}`);
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - small.from) / 86_400_000).toBe(7);
  expect(raised[0]!.severity).toBe('note');
  expect(raised[0]!.evidence.days).toBeGreaterThanOrEqual(5);
});

test('a large tub that never fills is not told', () => {
  const large = loopDays({
    days: 8,
    everyMs: 120_000,
    tubC: 28,
    backupC: null,
    setup: { tub: { litres: 3000 } },
  });
  expect(goRound(large, { rules }).raised).toEqual([]);
});
