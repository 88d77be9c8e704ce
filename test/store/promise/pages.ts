import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { PagePlace, Store } from '../../../collector-service/store/store.ts';
import type { Reading } from '../../../model/readings.ts';
import { type Given, keep, reading, T0 } from './sample.ts';

const names = ['a', 'b', 'c/1', 'c/10', 'c/2'];

export function pagesArePromised(given: Given): void {
  test('pages go through points with equal times, each reading once, by time and then point', async () => {
    const { store } = given();
    const all = [0, 1, 1, 2].flatMap((t) => names.map((point) => reading(point, T0 + t, t)));
    await keep(store, all);
    const expected = sorted(all.filter((_, i) => i < 10 || i >= 15));
    for (const limit of [1, 2, 3, 4, 7, 15, 99]) {
      expect(await through(store, names, T0, T0 + 3, limit)).toEqual(expected);
    }
  });

  test('a page holds the points that were asked for, once each, with from ≤ t < to', async () => {
    const { store } = given();
    await keep(
      store,
      [0, 1, 2, 3].flatMap((t) => names.map((point) => reading(point, T0 + t, t))),
    );
    await keep(store, [reading('a', T0 + 1, 9, 'other')]);
    const page = await store.page('kowhai', ['b', 'a', 'b', 'never'], T0 + 1, T0 + 3, 99);
    expect(page).toEqual([
      reading('a', T0 + 1, 1),
      reading('b', T0 + 1, 1),
      reading('a', T0 + 2, 2),
      reading('b', T0 + 2, 2),
    ]);
    expect(await store.page('kowhai', [], T0, T0 + 9, 99)).toEqual([]);
    expect(await store.page('kowhai', names, T0 + 9, T0 + 99, 99)).toEqual([]);
  });

  test('a page goes on after a place whose point is not asked for, or that lies before the span', async () => {
    const { store } = given();
    await keep(
      store,
      [0, 1].flatMap((t) => names.map((point) => reading(point, T0 + t, t))),
    );
    const from = (after: PagePlace) => store.page('kowhai', ['a', 'c/1'], T0, T0 + 2, 99, after);
    expect(await from({ t: T0, point: 'b' })).toEqual([
      reading('c/1', T0, 0),
      reading('a', T0 + 1, 1),
      reading('c/1', T0 + 1, 1),
    ]);
    expect(await from({ t: T0 - 5, point: 'zzz' })).toHaveLength(4);
    expect(await from({ t: T0 + 1, point: 'c/1' })).toEqual([]);
  });

  test('whatever is kept and however long a page is, the pages together are all readings', async () => {
    const { store } = given();
    let run = 0;
    const few = fc.record({
      point: fc.constantFrom(...names),
      t: fc.integer({ min: T0, max: T0 + 9 }),
      value: fc.integer({ min: 0, max: 3 }),
    });
    await fc.assert(
      fc.asyncProperty(
        fc.uniqueArray(few, { selector: ({ point, t }) => `${point} ${t}`, maxLength: 40 }),
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: T0, max: T0 + 9 }),
        async (readings, limit, to) => {
          const tub = `tub-${run++}`;
          const all = readings.map((each) => ({ ...each, tub }));
          await keep(store, all);
          const expected = sorted(all.filter(({ t }) => t < to));
          expect(await through(store, names, T0, to, limit, tub)).toEqual(expected);
        },
      ),
      { numRuns: 60 },
    );
  });
}

async function through(
  store: Store,
  points: string[],
  from: number,
  to: number,
  limit: number,
  tub = 'kowhai',
): Promise<Reading[]> {
  const found: Reading[] = [];
  for (;;) {
    const page: Reading[] = await store.page(tub, points, from, to, limit, found.at(-1));
    expect(page.length).toBeLessThanOrEqual(limit);
    expect(found.length, 'pages come to an end').toBeLessThan(1000);
    if (page.length === 0) return found;
    found.push(...page);
  }
}

const sorted = (readings: readonly Reading[]): Reading[] =>
  [...readings].sort((a, b) => a.t - b.t || (a.point < b.point ? -1 : 1));
