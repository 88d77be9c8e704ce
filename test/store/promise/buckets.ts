import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Bucket } from '../../../collector-service/store/store.ts';
import type { Reading } from '../../../model/readings.ts';
import { DAY, type Given, HOUR, keep, MINUTE, QUARTER, reading, T0 } from './sample.ts';

export function bucketsArePromised(given: Given): void {
  test('a bucket holds from ≤ t < to; empty ones are absent', async () => {
    const { store } = given();
    await keep(
      store,
      [0, 1, 59, 60, 180, 239, 240].map((minutes) => reading('x', T0 + minutes * MINUTE, minutes)),
    );
    expect(await store.buckets('kowhai', 'x', T0, T0 + 4 * HOUR, HOUR)).toEqual([
      { from: T0, count: 3, min: 0, sum: 60, max: 59 },
      { from: T0 + HOUR, count: 1, min: 60, sum: 60, max: 60 },
      { from: T0 + 3 * HOUR, count: 2, min: 180, sum: 419, max: 239 },
    ]);
    expect(await store.buckets('kowhai', 'x', T0 + 1, T0 + MINUTE, DAY)).toEqual([]);
    expect(await store.buckets('kowhai', 'x', T0 + MINUTE, T0 + MINUTE + 1, DAY)).toEqual([
      { from: T0 + MINUTE, count: 1, min: 1, sum: 1, max: 1 },
    ]);
  });

  test('counts are exact where the edges of the span and of its buckets cut quarters', async () => {
    const { store } = given();
    const all = Array.from({ length: 4 * 360 }, (_, i) => reading('x', T0 + i * 10_000, i));
    await keep(store, all);
    const span = { from: T0 + 7 * MINUTE + 1, to: T0 + 4 * HOUR - 3 * MINUTE };
    const buckets = await store.buckets('kowhai', 'x', span.from, span.to, 61 * MINUTE + 1);
    expect(buckets).toEqual(naive(all, span.from, span.to, 61 * MINUTE + 1));
    expect(buckets.reduce((count, bucket) => count + bucket.count, 0)).toBe(1440 - 43 - 18);
  });

  test('thirds of a millisecond count no reading twice and leave none out', async () => {
    const { store } = given();
    const to = T0 + 10 * HOUR;
    const all = Array.from({ length: 1200 }, (_, i) => reading('x', T0 + i * 30_000, 1));
    await keep(store, all);
    for (const parts of [3, 7, 9, 11, 13, 17, 19]) {
      const bucketMs = (to - T0) / parts;
      const buckets = await store.buckets('kowhai', 'x', T0, to, bucketMs);
      expect(buckets.reduce((count, bucket) => count + bucket.count, 0)).toBe(1200);
      expect(buckets).toEqual(naive(all, T0, to, bucketMs));
    }
  });

  test('a length that misses a whole number by a hair moves no reading into two buckets', async () => {
    const { store } = given();
    for (const length of [1000, QUARTER, HOUR]) {
      const tub = `every-${length}`;
      const all = Array.from({ length: 50 }, (_, i) => reading('x', T0 + i * length, i, tub));
      await keep(store, all);
      for (const hair of [1e-5, -1e-5]) {
        const [to, bucketMs] = [T0 + 50 * length, length + hair];
        const buckets = await store.buckets(tub, 'x', T0, to, bucketMs);
        expect(buckets).toEqual(naive(all, T0, to, bucketMs));
      }
    }
  });

  test('a span of centuries with little in it costs what is in it', async () => {
    const { store } = given();
    const ends = [-2_208_988_800_000, T0, 4_102_444_800_000]; // 1900, 2026, 2100
    await keep(
      store,
      ends.map((t) => reading('x', t, 1)),
    );
    const buckets = await store.buckets('kowhai', 'x', ends[0]!, ends[2]! + 1, 1000);
    expect(buckets.map(({ from, count }) => [from, count])).toEqual(ends.map((t) => [t, 1]));
  });

  test('any buckets over any span are what a plain sum over the readings gives', async () => {
    const { store } = given();
    let run = 0;
    let largest = 0;
    await fc.assert(
      fc.asyncProperty(readings, spans, widths, async (some, { from, to }, width) => {
        const tub = `tub-${run++}`;
        const all = some.map((each) => ({ ...each, tub }));
        for (let i = 0; i < all.length; i += 17) await keep(store, all.slice(i, i + 17));
        const bucketMs = width(to - from);
        const found = await store.buckets(tub, 'x', from, to, bucketMs);
        const expected = naive(all, from, to, bucketMs);
        expect(found.map(plain)).toEqual(expected.map(plain));
        found.forEach(({ sum }, i) => {
          largest = Math.max(largest, Math.abs(sum - expected[i]!.sum));
        });
      }),
      { numRuns: 300 },
    );
    console.log(`buckets: ${run} spans, sums differ by ${largest.toExponential(1)} at most`);
    expect(largest).toBeLessThan(1e-7); // up to 60 values of up to 1e6, rounded in another order
  });
}

/** Everything but the sum, whose last digits depend on the order in which it was made. */
const plain = ({ from, count, min, max }: Bucket) => ({ from, count, min, max });

const days = 20;
const times = fc.oneof(
  fc.integer({ min: T0, max: T0 + days * DAY }),
  fc
    .tuple(fc.integer({ min: 0, max: days * 96 }), fc.constantFrom(-1, 0, 1))
    .map(([n, off]) => T0 + n * QUARTER + off),
);
const near = fc.integer({ min: T0 - HOUR, max: T0 + 2 * HOUR });

const readings = fc.uniqueArray(
  fc.record({
    point: fc.constant('x'),
    t: fc.oneof(times, near),
    value: fc.oneof(
      fc.integer({ min: -1e9, max: 1e9 }).map((thousandths) => thousandths / 1000 + 0), // no −0
      fc.double({ min: -1e6, max: 1e6, noNaN: true }).map((value) => value + 0),
    ),
  }),
  { selector: ({ t }) => t, maxLength: 60 },
);

const spans = fc
  .tuple(fc.oneof(times, near), fc.oneof(times, near))
  .map(([a, b]) => ({ from: Math.min(a, b), to: Math.max(a, b) + 1 }));

/** Widths of a bucket for a span: seconds to weeks, fractions, and equal parts of the span. */
const widths: fc.Arbitrary<(spanMs: number) => number> = fc.oneof(
  fc
    .oneof(
      fc.constantFrom(1000, 10_000, MINUTE, QUARTER, 2 * QUARTER, HOUR, DAY, 7 * DAY, 21 * DAY),
      fc.integer({ min: 1000, max: 21 * DAY }),
      fc.double({ min: 1000, max: 21 * DAY, noNaN: true }),
      fc.double({ min: QUARTER / 3, max: 4 * QUARTER, noNaN: true }),
    )
    .map((bucketMs) => () => bucketMs),
  fc.integer({ min: 1, max: 1000 }).map((parts) => (spanMs: number) => spanMs / parts),
);

function naive(all: readonly Reading[], from: number, to: number, bucketMs: number): Bucket[] {
  const found = new Map<number, Bucket>();
  for (const { t, value } of [...all].sort((a, b) => a.t - b.t)) {
    if (t < from || t >= to) continue;
    const n = Math.floor((t - from) / bucketMs);
    const bucket = found.get(n) ?? {
      from: from + n * bucketMs,
      count: 0,
      min: Infinity,
      sum: 0,
      max: -Infinity,
    };
    bucket.count++;
    bucket.min = Math.min(bucket.min, value);
    bucket.sum += value;
    bucket.max = Math.max(bucket.max, value);
    found.set(n, bucket);
  }
  return [...found.values()];
}
