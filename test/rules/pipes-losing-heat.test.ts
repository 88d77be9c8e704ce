import { expect, test } from 'vitest';
import { pipesLosingHeat } from '../../model/rules/pipes-losing-heat.ts';
import { goRound } from './go-round.ts';
import { loopDays, type Scene } from './loop-days.ts';
import { judgedBy } from './past-days.ts';

const DAY = 86_400_000; // ms
const rules = [pipesLosingHeat];
const day = (dropK: number, restingK: number | null = 0.1, differenceK = 12) => ({
  dropK,
  differenceK,
  soundK: 0.5,
  restingK,
});
const days = (count: number, ...one: Parameters<typeof day>) =>
  Array.from({ length: count }, () => day(...one));
const judged = (facts: readonly ReturnType<typeof day>[]) => judgedBy(pipesLosingHeat, facts);

const usual = [0.6, 0.7, 0.5, 0.6, 0.65, 0.55].map((dropK) => day(dropK));

test('a kelvin more than usual on the way back on five days is told', () => {
  const finding = judged([...usual, ...days(5, 1.8)]);
  expect(finding).toMatchObject({ since: Date.parse('2026-01-07'), evidence: { days: 5 } });
  const { evidence } = finding as { evidence: Record<string, number> };
  expect(evidence.usualDropK).toBeCloseTo(0.55, 9); // by the better of the first days
  expect(evidence.share).toBeCloseTo(1.8 / 12, 9);
});

test('a little less than a kelvin more is not told, nor is one of the five days as usual', () => {
  expect(judged([...usual, ...days(5, 1.5)])).toBe('between');
  expect(judged([...usual, ...days(2, 1.8), day(0.6), ...days(2, 1.8)])).toBe('between');
});

test('less than a kelvin is much where it is much of what the collectors gave', () => {
  const small = { ...day(1.35, 0.1, 6), soundK: 0.3 };
  const once = usual.map((one) => ({ ...one, dropK: one.dropK - 0.2, soundK: 0.3 }));
  expect(judged([...once, ...Array.from({ length: 5 }, () => small)])).toMatchObject({
    evidence: { days: 5 },
  });
});

test('half a kelvin is told where small collectors give little more than three', () => {
  const small = (dropK: number) => ({ ...day(dropK, 0.1, 3.3), soundK: 0.2 });
  const once = [0.2, 0.25, 0.15, 0.2].map(small);
  expect(judged([...once, ...[0.7, 0.65, 0.72, 0.8, 0.6].map(small)])).toMatchObject({
    evidence: { days: 5 },
  });
  expect(judged([...once, ...[0.4, 0.45, 0.42, 0.4, 0.5].map(small)])).toBe('between');
});

test('first days of which half were bad already do not end it', () => {
  const first = [...days(4, 0.6), ...days(4, 1.8)];
  expect(judged([...first, ...days(5, 1.8)])).toMatchObject({ evidence: { days: 5 } });
});

test('it is gone when five days are as usual again', () => {
  expect(judged([...usual, ...days(5, 2), ...days(4, 0.7)])).toBe('between');
  expect(judged([...usual, ...days(5, 2), ...days(5, 0.7)])).toBe('gone');
});

test('four days tell nothing; five tell only what no pair of sensors could differ by', () => {
  expect(judged(days(4, 4))).toBe('blind');
  expect(judged(days(5, 2.4))).toBe('between');
  expect(judged(days(5, 2.6))).toMatchObject({ evidence: { days: 5 } });
});

test('a sensor that reads lower at rest too is the sensor, not the pipe', () => {
  expect(judged([...usual, ...days(5, 1.8, -1.1)])).toBe('between');
  expect(judged([...usual, ...days(5, 1.8, 0)])).toMatchObject({ evidence: { days: 5 } });
});

const loop = (bend: (value: number, scene: Scene) => number) =>
  loopDays({
    kit: 'B',
    days: 16,
    everyMs: 300_000,
    tubC: 25,
    backupC: null,
    setup: { tub: { litres: 5000 } },
    bends: { 'collector/outlet': bend },
  });

test('insulation that is gone is told on the fifth day, and ends when it is back for five', () => {
  const bare = loop((outC, { day: since, pumpOn, airC }) =>
    pumpOn && since >= 5 && since < 10 ? outC - 0.1 * (outC - airC) : outC,
  );
  const { raised } = goRound(bare, { rules });
  console.info(raised.map(({ evidence }) => JSON.stringify(evidence)).join(' '));
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - bare.from) / DAY).toBe(10);
  expect((raised[0]!.until! - bare.from) / DAY).toBe(15);
});

test('a sensor that reads lower by day and night is not told, nor a sound pipe', () => {
  expect(
    goRound(
      loop((outC, { day: since }) => (since >= 5 ? outC - 2 : outC)),
      { rules },
    ).raised,
  ).toEqual([]);
  expect(
    goRound(
      loop((outC) => outC),
      { rules },
    ).raised,
  ).toEqual([]);
});
