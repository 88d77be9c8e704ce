import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Reading } from '../../../model/readings.ts';
import {
  covered,
  DAY,
  everything,
  type Given,
  HOUR,
  keep,
  MINUTE,
  pairs,
  QUARTER,
  reading,
  T0,
  workedOut,
} from './sample.ts';

export function readingsArePromised(given: Given): void {
  test('what was kept is read back, by point and in the order of time', async () => {
    const { store } = given();
    await keep(store, [
      reading('tub/temperature', T0 + 2000, 37.4),
      reading('pump/running', T0, 1),
      reading('tub/temperature', T0 + 1000, 37.3),
    ]);
    expect(await store.points('kowhai')).toEqual(['pump/running', 'tub/temperature']);
    expect(await everything(store, 'kowhai')).toEqual({
      'pump/running': [[T0, 1]],
      'tub/temperature': [
        [T0 + 1000, 37.3],
        [T0 + 2000, 37.4],
      ],
    });
    expect(await store.span('kowhai')).toEqual({ from: T0, to: T0 + 2000 });
  });

  test('a tub that was never heard has nothing', async () => {
    const { store } = given();
    expect(await store.points('nobody')).toEqual([]);
    expect(await store.span('nobody')).toBeNull();
    expect(await store.recent('nobody', 3)).toEqual(new Map());
    expect(await store.traces('nobody', ['tub/temperature'], 0, T0, () => DAY)).toEqual(new Map());
    expect(await store.page('nobody', ['tub/temperature'], 0, T0, 10)).toEqual([]);
    expect(await store.buckets('nobody', 'tub/temperature', 0, T0, DAY)).toEqual([]);
    expect(await store.ledger('nobody', 0, T0)).toEqual([]);
    expect(await store.tubs()).toEqual([]);
    expect(await store.dirty()).toEqual([]);
  });

  test('the same again changes nothing and leaves no mark', async () => {
    const { store } = given();
    const readings = [reading('tub/temperature', T0, 37.4), reading('pump/running', T0, 1)];
    await keep(store, readings);
    const before = await everything(store, 'kowhai');
    await workedOut(store);
    await keep(store, [...readings, ...readings], T0 + HOUR);
    expect(await everything(store, 'kowhai')).toEqual(before);
    expect(await store.dirty()).toEqual([]);
  });

  test('of two values at the same time the greater stays, and only the greater leaves a mark', async () => {
    const { store } = given();
    const at = async () => pairs((await store.traces('kowhai', ['x'], T0, T0 + 1)).get('x'));
    await keep(store, [reading('x', T0, 5)]);
    await workedOut(store);
    await keep(store, [reading('x', T0, 4)]);
    expect(await at()).toEqual([[T0, 5]]);
    expect(await store.dirty()).toEqual([]);
    await keep(store, [reading('x', T0, 6)]);
    expect(await at()).toEqual([[T0, 6]]);
    expect(covered(await store.dirty(), 'x', T0)).toBe(true);
    await keep(store, [reading('x', T0, 7), reading('x', T0, 9), reading('x', T0, 8)]);
    expect(await at()).toEqual([[T0, 9]]);
    expect(await store.buckets('kowhai', 'x', T0, T0 + HOUR, HOUR)).toEqual([
      { from: T0, count: 1, min: 9, sum: 9, max: 9 },
    ]);
  });

  test('any order of arrival, in any batches, gives the same rows, sums and marks', async () => {
    const { store } = given();
    let run = 0;
    const few = fc.record({
      point: fc.constantFrom('tub/temperature', 'pump/flow'),
      t: fc.oneof(
        fc.integer({ min: T0 - HOUR, max: T0 + HOUR }),
        fc.constantFrom(T0 - 1, T0, T0 + 1, T0 + QUARTER - 1, T0 + QUARTER),
      ),
      value: fc.oneof(fc.double({ min: -1e6, max: 1e6, noNaN: true }), fc.constantFrom(-0, 0, 85)),
    });
    const arrival = fc
      .array(few, { minLength: 1, maxLength: 40 })
      .chain((all) =>
        fc.tuple(
          fc.constant(all),
          fc.shuffledSubarray([...all, ...all.slice(0, 9)], { minLength: all.length }),
          fc.integer({ min: 1, max: 9 }),
        ),
      );
    await fc.assert(
      fc.asyncProperty(arrival, async ([all, shuffled, size]) => {
        run++;
        const readings = [...new Set([...shuffled, ...all])];
        const [one, other] = [`one-${run}`, `other-${run}`];
        await keep(
          store,
          all.map((each) => ({ ...each, tub: one })),
        );
        for (let i = 0; i < readings.length; i += size) {
          const batch = readings.slice(i, i + size).map((each) => ({ ...each, tub: other }));
          await keep(store, batch);
        }
        const expected = greatest(all);
        expect(await everything(store, one)).toEqual(expected);
        expect(await everything(store, other)).toEqual(expected);
        for (const point of Object.keys(expected)) {
          const sums = [one, other].map((tub) =>
            store.buckets(tub, point, T0 - HOUR, T0 + 2 * HOUR, HOUR),
          );
          const [a, b] = await Promise.all(sums);
          expect(b).toEqual(a!.map((each) => ({ ...each, sum: expect.closeTo(each.sum, 6) })));
        }
        const marks = await store.dirty();
        for (const { point, t } of all) {
          for (const tub of [one, other]) {
            expect(
              covered(
                marks.filter((mark) => mark.tub === tub),
                point,
                t,
              ),
            ).toBe(true);
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  test('a trace holds from ≤ t < to, and the nearest reading before where it is near enough', async () => {
    const { store } = given();
    await keep(store, [
      ...[0, 10, 20, 30].map((minutes) => reading('a', T0 + minutes * MINUTE, minutes)),
      ...[0, 30].map((minutes) => reading('b', T0 + minutes * MINUTE, minutes)),
    ]);
    const minutes = async (from: number, to: number, nearestMs?: (point: string) => number) => {
      const names = ['a', 'b', 'c'];
      const traces = await store.traces(
        'kowhai',
        names,
        T0 + from * MINUTE,
        T0 + to * MINUTE,
        nearestMs,
      );
      return Object.fromEntries([...traces].map(([point, { v }]) => [point, [...v]]));
    };
    expect(await minutes(10, 30)).toEqual({ a: [10, 20] });
    expect(await minutes(10, 31)).toEqual({ a: [10, 20, 30], b: [30] });
    expect(await minutes(20, 30, () => 10 * MINUTE)).toEqual({ a: [10, 20] });
    expect(await minutes(20, 30, () => 10 * MINUTE - 1)).toEqual({ a: [20] });
    expect(await minutes(20, 30, (point) => (point === 'b' ? HOUR : 0))).toEqual({
      a: [20],
      b: [0],
    });
    expect(await minutes(40, 50, () => Infinity)).toEqual({ a: [30], b: [30] });
    expect(await minutes(40, 50)).toEqual({});
    expect(await minutes(20, 20, () => HOUR)).toEqual({ a: [10], b: [0] });
  });

  test('the newest few readings of each point, oldest first', async () => {
    const { store } = given();
    await keep(
      store,
      [5, 1, 4, 2, 3].map((n) => reading('a', T0 + n, n)),
    );
    await keep(store, [reading('b', T0, 9)]);
    const recent = await store.recent('kowhai', 3);
    expect([...recent].map(([point, trace]) => [point, pairs(trace)])).toEqual([
      [
        'a',
        [
          [T0 + 3, 3],
          [T0 + 4, 4],
          [T0 + 5, 5],
        ],
      ],
      ['b', [[T0, 9]]],
    ]);
  });

  test('extreme values and times come back as they were', async () => {
    const { store } = given();
    const extremes: [number, number][] = [
      [-62_135_596_800_000, -1e300], // 0001-01-01
      [-1, Number.MIN_VALUE],
      [0, 1e300],
      [1, 0.1 + 0.2],
      [2, Number.MAX_SAFE_INTEGER],
      [2 ** 31, -273.15],
      [Date.parse('2106-02-07T06:28:16Z'), 37.4],
      [8.64e15, 1],
    ];
    await keep(
      store,
      extremes.map(([t, value]) => reading('x', t, value)),
    );
    expect(await everything(store, 'kowhai')).toEqual({ x: extremes });
    expect(await store.span('kowhai')).toEqual({ from: extremes[0]![0], to: 8.64e15 });
    const buckets = await store.buckets('kowhai', 'x', -HOUR, HOUR, HOUR);
    expect(buckets.map(({ from, count }) => [from, count])).toEqual([
      [-HOUR, 1],
      [0, 3],
    ]);
  });

  test('a negative zero is kept as zero, and neither takes the place of the other', async () => {
    const { store } = given();
    await keep(store, [reading('x', T0, -0), reading('x', T0 + 1, 0)]);
    await workedOut(store);
    await keep(store, [reading('x', T0, 0), reading('x', T0 + 1, -0)]);
    expect(await everything(store, 'kowhai')).toEqual({
      x: [
        [T0, 0],
        [T0 + 1, 0],
      ],
    });
    expect(await store.dirty()).toEqual([]);
  });

  test('values whose sum no number can hold do not stop what comes after them', async () => {
    const { store } = given();
    const huge = Number.MAX_VALUE;
    await keep(store, [reading('x', T0, huge), reading('x', T0 + 1, huge)]);
    await keep(store, [reading('x', T0 + 2, -huge), reading('x', T0 + 3, -huge)]);
    await keep(store, [reading('x', T0 + 4, 1), reading('x', T0 + 3, -1)]);
    for (const bucketMs of [MINUTE, HOUR]) {
      const [bucket, ...others] = await store.buckets('kowhai', 'x', T0, T0 + HOUR, bucketMs);
      expect(others).toEqual([]);
      expect(bucket).toMatchObject({ from: T0, count: 5, min: -huge, max: huge });
      expect(Number.isFinite(bucket!.sum)).toBe(true);
    }
  });

  test('of a batch that cannot be kept nothing is kept', async () => {
    const { store } = given();
    await keep(store, [reading('a', T0, 1)]);
    await workedOut(store);
    const bad = [reading('a', T0 + 1, 2), reading('new', T0, 1), reading('b', T0, Number.NaN)];
    await expect(
      store.keep({
        readings: bad,
        unreadable: [{ topic: 't', payload: '', why: 'w' }],
        at: T0 + 9,
      }),
    ).rejects.toThrow();
    expect(await everything(store, 'kowhai')).toEqual({ a: [[T0, 1]] });
    expect(await store.dirty()).toEqual([]);
    expect(await store.unreadable()).toEqual([]);
    expect(await store.tubs()).toEqual([{ tub: 'kowhai', arrivedAt: T0 }]);
    await keep(store, [reading('new', T0, 3), reading('a', T0 + 1, 4)]);
    expect(await everything(store, 'kowhai')).toEqual({
      a: [
        [T0, 1],
        [T0 + 1, 4],
      ],
      new: [[T0, 3]],
    });
    expect(covered(await store.dirty(), 'new', T0)).toBe(true);
  });
}

/** For each point and time the greatest value, in the order of time. */
function greatest(readings: readonly Omit<Reading, 'tub'>[]): Record<string, [number, number][]> {
  const points: Record<string, Map<number, number>> = {};
  for (const { point, t, value } of readings) {
    points[point] ??= new Map();
    points[point].set(t, Math.max(points[point].get(t) ?? -Infinity, value) + 0);
  }
  return Object.fromEntries(
    Object.entries(points).map(([point, values]) => [point, [...values].sort(([a], [b]) => a - b)]),
  );
}
