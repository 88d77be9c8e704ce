import { describe, expect, it } from 'vitest';
import { bucketResult } from '../../model/bucket-test.ts';
import { type CupSample, cupState, offsetFor } from '../../model/cup-check.ts';

describe('three fills of a bucket', () => {
  it('tell the mean flow, its doubt and how far the fills lie apart', () => {
    // 60 × 10 l / s: 4.0, 4.1 and 4.2 l/min; the mean's standard error is 0.058, the bucket's own 3 %
    const fills = [150, 6000 / 41, 6000 / 42].map((seconds) => ({ litres: 10, seconds }));
    const result = bucketResult(fills)!;
    expect(result.lPerMin).toBeCloseTo(4.1, 9);
    expect(result.uncertaintyLPerMin).toBeCloseTo(0.03 * 4.1, 9);
    expect([result.lowest, result.highest]).toEqual([4, expect.closeTo(4.2, 9)]);
    expect(result.differ).toBe(false);
  });

  it('that differ by more than a tenth are to be done again', () => {
    const fills = [150, 150, 190].map((seconds) => ({ litres: 10, seconds }));
    expect(bucketResult(fills)!.differ).toBe(true);
  });

  it('tell nothing where there is none, or one took no time', () => {
    expect(bucketResult([])).toBeNull();
    expect(bucketResult([{ litres: 10, seconds: 0 }])).toBeNull();
  });
});

describe('two sensors in one cup', () => {
  const each = (seconds: number[], second: (n: number) => number): CupSample[] =>
    seconds.map((s, n) => ({ at: s * 1000, firstC: 40 - 0.02 * n, secondC: second(n) }));
  const minutes = [0, 20, 40, 60, 80, 100];

  it('rest while the cup cools, as long as both cool alike', () => {
    const state = cupState(each(minutes, (n) => 40.31 - 0.02 * n));
    expect(state).toEqual({
      state: 'settled',
      differenceK: expect.closeTo(0.31, 9),
      spreadK: expect.closeTo(0, 9),
    });
  });

  it('wait for four readings over a minute', () => {
    expect(cupState([])).toEqual({ state: 'waiting' });
    expect(cupState(each([0, 20, 40, 59], () => 40))).toEqual({ state: 'waiting' });
    expect(cupState(each([0, 40, 80], () => 40))).toEqual({ state: 'waiting' });
  });

  it('do not rest while one still warms up, and rest some minutes after', () => {
    const warming = each(minutes, (n) => 30 + 2 * n);
    expect(cupState(warming)).toEqual({ state: 'moving' });
    const after = [160, 190, 220, 250].map((s) => ({ at: s * 1000, firstC: 39, secondC: 39 }));
    expect(cupState([...warming, ...after])).toEqual({ state: 'moving' });
    const later = after.map((sample) => ({ ...sample, at: sample.at + 120_000 }));
    expect(cupState([...warming, ...later]).state).toBe('settled');
  });

  it('that read ten degrees apart are in no cup together', () => {
    expect(cupState(each(minutes, (n) => 50 - 0.02 * n)).state).toBe('too-far');
  });

  it('read alike once the offset is added to the one there was', () => {
    // raw 40.3 with −0.2 so far reads 40.1, the other 40.0
    const offset = offsetFor(-0.2, 0.1);
    expect(offset).toBe(-0.3);
    expect(40.3 + offset).toBeCloseTo(40, 9);
    expect(Object.is(offsetFor(0.1, 0.1), 0)).toBe(true);
  });
});
