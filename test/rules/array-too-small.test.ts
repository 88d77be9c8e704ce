import { expect, test } from 'vitest';
import { arrayTooSmall } from '../../model/rules/array-too-small.ts';
import { goRound } from './go-round.ts';
import { type LoopDaysOptions, loopDays } from './loop-days.ts';
import { judgedBy } from './past-days.ts';

interface GainAndNeed {
  gainKwh: number;
  needKwh: number;
}
const day = (gainKwh: number, needKwh = 10): GainAndNeed => ({ gainKwh, needKwh });
const weeks = (count: number, one: GainAndNeed) => Array.from({ length: 7 * count }, () => one);
const judged = (facts: readonly GainAndNeed[]) => judgedBy(arrayTooSmall, facts);

test('less than a quarter of the need in the four best weeks is told', () => {
  expect(judged([...weeks(4, day(1)), ...weeks(4, day(2.4))])).toMatchObject({
    evidence: { share: expect.closeTo(0.24, 9), gainKwh: expect.closeTo(2.4, 9), needKwh: 10 },
  });
});

test('a quarter and more is not told, and it is gone above three tenths', () => {
  expect(judged([...weeks(4, day(1)), ...weeks(4, day(2.6))])).toBe('between');
  expect(judged([...weeks(4, day(1)), ...weeks(4, day(3.1))])).toBe('gone');
});

test('a season ago does not count: only the sixteen weeks that are newest do', () => {
  expect(judged([...weeks(4, day(9)), ...weeks(12, day(1))])).toBe('gone');
  expect(judged([...weeks(4, day(9)), ...weeks(16, day(1))])).toMatchObject({
    evidence: { share: expect.closeTo(0.1, 9) },
  });
});

test('with less than eight weeks of days nothing can be told', () => {
  expect(judged(weeks(8, day(1)).slice(1))).toBe('blind');
});

/** What is kept of the days of a loop. */
function kept(setup: LoopDaysOptions['setup']): GainAndNeed[] {
  const made = loopDays({
    kit: 'B',
    days: 4,
    everyMs: 300_000,
    tubC: 34,
    backupC: 34,
    airC: { mean: 8, swing: 4 },
    sky: (_, since) => 0.6 + 0.1 * Math.floor(since),
    ...(setup ? { setup } : {}),
  });
  const { days } = goRound(made, { rules: [arrayTooSmall] });
  return days.flatMap(({ facts }) => (facts as Facts)['array-too-small'] ?? []);
}

type Facts = { 'array-too-small'?: GainAndNeed };

test('weeks of a single small collector on a leaky tub are told, of six square metres not', () => {
  const tub = { litres: 2000, targetC: 37, lossWPerK: 30 };
  const small = kept({ tub, collectors: { count: 1, areaM2: 1 } });
  const ample = kept({ tub, collectors: { count: 3, areaM2: 2 } });
  const told = (days: readonly GainAndNeed[]) =>
    days.map(({ gainKwh, needKwh }) => `${gainKwh.toFixed(1)}/${needKwh.toFixed(1)}`).join(' ');
  console.info(`gain/need [kWh]: small ${told(small)}, ample ${told(ample)}`);
  expect([small.length, ample.length]).toEqual([3, 3]);
  const manyTimes = (days: readonly GainAndNeed[]) => Array.from({ length: 19 }, () => days).flat();
  expect(judged(manyTimes(small))).toHaveProperty('evidence.share');
  expect(judged(manyTimes(ample))).toBe('gone');
});
