import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Reading } from '../../../model/readings.ts';
import { asScript, type House, openHouse, T0 } from './house.ts';

const START = Date.parse('2026-02-27T00:00:00Z');
const STEP = 7_000; // ms: no bucket below is a whole number of them
const COUNT = 25_000;

/** Two points in step, a third with three readings; the values come back on a sheet of their own. */
const series = Array.from({ length: COUNT }, (_, i) => ({
  t: START + i * STEP,
  value: Math.round(1000 * Math.sin(i / 500)) / 100,
}));
const END = START + COUNT * STEP;

let house: House;
beforeAll(async () => {
  house = await openHouse();
  const readings: Reading[] = series.flatMap(({ t, value }) => [
    { tub: 'kowhai', point: 'tub/temperature', t, value: 30 + value },
    { tub: 'kowhai', point: 'collector/temperature', t, value: 50 + value },
  ]);
  for (const t of [START, START + 1, END]) {
    readings.push({ tub: 'kowhai', point: 'pump/running', t, value: 1 });
  }
  await house.store.keep({ readings, unreadable: [], at: T0 });
});
afterAll(() => house.close());

const iso = (t: number) => new Date(t).toISOString();
const ask = (query: Record<string, string>, tub = 'kowhai') =>
  house.app.inject({
    url: `/api/tubs/${tub}/readings?${new URLSearchParams(query)}`,
    headers: asScript,
  });
const points = 'tub/temperature,collector/temperature';

test('buckets hold count, smallest, mean and greatest of just their readings', async () => {
  for (const buckets of [1, 2, 7, 400, 1000]) {
    // neither end lies on a quarter hour, nor on a reading's time
    const [from, to] = [START + 1_234_567, END - 2_345_678];
    const answer = await ask({ points, from: iso(from), to: iso(to), buckets: String(buckets) });
    expect(answer.statusCode).toBe(200);
    const body = answer.json();
    expect(Object.keys(body)).toEqual(['points']);
    expect(Object.keys(body.points)).toEqual(points.split(','));
    const inside = series.filter(({ t }) => t >= from && t < to);
    for (const [point, base] of [
      ['tub/temperature', 30],
      ['collector/temperature', 50],
    ] as const) {
      const found = body.points[point];
      expect(found.count).toBe(inside.length);
      expect(found.buckets.length).toBeLessThanOrEqual(buckets);
      const width = (to - from) / buckets;
      for (const bucket of found.buckets) {
        const n = Math.floor((Date.parse(bucket.from) - from) / width);
        expect(Date.parse(bucket.from)).toBe(Math.ceil(from + n * width));
        const values = inside
          .filter(({ t }) => Math.floor((t - from) / width) === n)
          .map(({ value }) => base + value);
        expect(bucket.count).toBe(values.length);
        expect(bucket.min).toBe(Math.min(...values));
        expect(bucket.max).toBe(Math.max(...values));
        expect(bucket.mean).toBeCloseTo(values.reduce((a, b) => a + b) / values.length, 9);
      }
    }
  }
});

test('an empty bucket is absent, and a point without readings stands with none', async () => {
  const query = {
    points: 'pump/running,pump/flow',
    from: iso(START),
    to: iso(END + 1),
    buckets: '10',
  };
  const { points } = (await ask(query)).json();
  expect(points['pump/flow']).toEqual({ count: 0, buckets: [] });
  expect(points['pump/running'].count).toBe(3);
  expect(points['pump/running'].buckets.map(({ count }: { count: number }) => count)).toEqual([
    2, 1,
  ]);
});

test('a span excludes its end, and may be empty', async () => {
  const at = iso(series[10]!.t);
  const after = iso(series[11]!.t);
  const count = async (from: string, to: string) =>
    (await ask({ points: 'tub/temperature', from, to })).json().points['tub/temperature'].count;
  expect(await count(at, after)).toBe(1);
  expect(await count(at, at)).toBe(0);
});

test('with no buckets the readings come one by one, in pages that join without gap or double', async () => {
  const found: { point: string; time: string; value: number }[] = [];
  const sizes: number[] = [];
  let cursor: string | null = null;
  do {
    const query = { points, from: iso(START), to: iso(END), buckets: '0' };
    const answer = await ask(cursor === null ? query : { ...query, cursor });
    expect(answer.statusCode).toBe(200);
    const { items, next } = answer.json();
    sizes.push(items.length);
    found.push(...items);
    cursor = next;
  } while (cursor !== null);
  expect(sizes).toEqual([10_000, 10_000, 10_000, 10_000, 10_000]);
  expect(found).toEqual(
    series.flatMap(({ t, value }) => [
      { point: 'collector/temperature', time: iso(t), value: 50 + value },
      { point: 'tub/temperature', time: iso(t), value: 30 + value },
    ]),
  );
});

test('left out, the points are all that were heard and the span is the day before now', async () => {
  const { points } = (await ask({})).json();
  expect(Object.keys(points).sort()).toEqual([
    'collector/temperature',
    'pump/running',
    'tub/temperature',
  ]);
  const heard = series.filter(({ t }) => t >= T0 - 86_400_000 && t < T0);
  expect(points['tub/temperature'].count).toBe(heard.length);
});

test('what cannot be meant is refused with its place', async () => {
  const span = { points: 'tub/temperature', from: iso(START), to: iso(END) };
  const wrong: [query: Record<string, string>, path: string][] = [
    [{ ...span, from: iso(END), to: iso(START) }, '/from'],
    [{ ...span, from: '2026-03-01' }, '/from'],
    [{ ...span, to: '2026-02-30T00:00:00Z' }, '/to'],
    [{ ...span, buckets: '1001' }, '/buckets'],
    [{ ...span, buckets: '-1' }, '/buckets'],
    [{ ...span, buckets: '4.5' }, '/buckets'],
    [{ ...span, buckets: '' }, '/buckets'],
    [{ ...span, points: 'tub/flavour' }, '/points/0'],
    [{ ...span, points: '' }, '/points/0'],
    [{ ...span, points: 'tub/cover,pump/taste' }, '/points/1'],
    [{ ...span, buckets: '0', cursor: 'nonsense' }, '/cursor'],
  ];
  for (const [query, path] of wrong) {
    const answer = await ask(query);
    expect(answer.statusCode).toBe(400);
    expect(answer.json()).toMatchObject({ code: 'SUNSTEEP_CALL_INVALID', faults: [{ path }] });
    expect(answer.json().faults).toHaveLength(1);
  }
});

test('a tub that nobody knows has no readings to ask for', async () => {
  const answer = await ask({}, 'nowhere');
  expect(answer.statusCode).toBe(404);
  expect(answer.json().code).toBe('SUNSTEEP_NOT_FOUND');
});
