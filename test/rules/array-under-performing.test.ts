import { expect, test } from 'vitest';
import type { Performance } from '../../model/performance.ts';
import { arrayUnderPerforming } from '../../model/rules/array-under-performing.ts';
import { goRound } from './go-round.ts';
import { loopDays } from './loop-days.ts';
import { judgedBy } from './past-days.ts';

const rules = [arrayUnderPerforming];
const day = (facts: Partial<Performance>): Performance => ({
  envelope: null,
  basis: 'measured',
  measured: null,
  irradiance: null,
  noonDeg: 60,
  ...facts,
});
const clear = (envelopes: readonly number[], facts: Partial<Performance> = {}) =>
  envelopes.map((envelope) => day({ envelope, ...facts }));
const bySun = (ratios: readonly number[], windows = 4) =>
  ratios.map((ratio) => day({ measured: { kwh: 5 * ratio, estimatedKwh: 5, windows } }));
const judged = (facts: readonly Performance[]) => judgedBy(arrayUnderPerforming, facts);

const sound = [0.95, 0.97, 0.7, 0.96, 0.94, 0.98, 0.5, 0.95];
const times = (factor: number, count = 10) =>
  Array.from({ length: count }, (_, i) => factor * [0.96, 0.95, 0.97, 0.6][i % 4]!);

test('a fifth less than once under a clear sky is told, a third less as urgent', () => {
  expect(judged(clear([...sound, ...times(0.8)]))).toMatchObject({
    severity: 'look',
    evidence: { days: 10, ofDataSheet: null },
  });
  expect(judged(clear([...sound, ...times(0.65)]))).toMatchObject({ severity: 'act' });
});

test('a tenth less than once is neither told nor cleared, and what is as before is gone', () => {
  expect(judged(clear([...sound, ...times(0.88)]))).toBe('between');
  expect(judged(clear([...sound, ...times(0.8), ...times(0.98)]))).toBe('gone');
});

test('it is over when seven days have shown it, not with the first good one', () => {
  const dirty = [...sound, ...times(0.75, 12)];
  const after = (days: number) => judged(clear([...dirty, ...times(0.99, days)]));
  expect([1, 2, 6].map(after)).toEqual(['between', 'between', 'between']);
  expect(after(7)).toBe('gone');
  const usual = Array.from({ length: 8 }, () => 1);
  const bad = usual.map(() => 0.7);
  const cleaned = (days: number) => judged(bySun([...usual, ...bad, ...usual.slice(0, days)]));
  expect([5, 6, 8].map(cleaned)).toEqual(['between', 'gone', 'gone']);
});

test('five of seven days that agree tell it, whatever came before them', () => {
  const agreeing = [0.7, 0.71, 0.4, 0.72, 0.7, 0.69, 0.71];
  expect(judged(clear([...sound, 0.95, 0.9, 0.8, ...agreeing]))).toMatchObject({
    evidence: { days: 7 },
  });
  const scattered = [0.7, 0.5, 0.4, 0.72, 0.6, 0.69, 0.71];
  expect(judged(clear([...sound, 0.95, 0.9, 0.8, ...scattered]))).not.toHaveProperty('evidence');
});

test('against measured sun every day tells, grey or not', () => {
  const usual = [1, 1.02, 0.98, 1.01, 0.99, 1];
  const dusty = (factor: number) => Array.from({ length: 8 }, () => factor);
  expect(judged(bySun([...usual, ...dusty(0.8)]))).toMatchObject({
    severity: 'look',
    evidence: { ofDataSheet: expect.closeTo((6 + 8 * 0.8) / 14, 9), days: 8 },
  });
  expect(judged(bySun([...usual, ...dusty(0.87)]))).toBe('between');
  expect(judged(bySun([...usual, ...dusty(0.97)]))).toBe('gone');
  expect(judged(bySun([...usual, ...dusty(0.6)], 1))).toBe('blind');
});

test('a grey fortnight is not told: its best half hours do not agree', () => {
  const grey = [0.3, 0.62, 0.2, 0.45, 0.12, 0.38, 0.25, 0.52, 0.17, 0.34];
  expect(judged(clear([...sound, ...grey]))).toBe('between');
  expect(judged(clear([...sound, ...grey.slice(0, 8), 0.95, 0.96]))).toBe('gone');
});

test('with few days, or days of another season only, nothing can be told', () => {
  expect(judged([])).toBe('blind');
  expect(judged(clear([...sound.slice(0, 4), ...times(0.6)]))).toBe('blind');
  const winter = clear(times(0.6), { noonDeg: 30 });
  expect(judged([...clear(sound), ...winter])).toBe('blind');
});

test('estimated heat is not held against metered heat', () => {
  const estimated = clear(times(0.7), { basis: 'estimated' });
  expect(judged([...clear(sound), ...estimated])).toBe('blind');
});

const loop = (sky: (t: number, day: number) => number) =>
  loopDays({
    kit: 'B',
    days: 16,
    everyMs: 600_000,
    tubC: 25,
    backupC: null,
    sky,
    setup: { tub: { litres: 5000 } },
  });

test('glass that lets a third less through is told from metered heat', () => {
  const { raised } = goRound(
    loop((_, since) => (since < 5 ? 1 : 0.68)),
    { rules },
  );
  console.info(raised.map(({ evidence }) => JSON.stringify(evidence)).join(' '));
  expect(raised).toHaveLength(1);
  expect(raised[0]!.evidence.share).toBeLessThan(0.75);
});

test('clear days that bring what they ever did are not told', () => {
  const { raised, days } = goRound(
    loop(() => 1),
    { rules },
  );
  expect(days).toHaveLength(15);
  expect(raised).toEqual([]);
});
