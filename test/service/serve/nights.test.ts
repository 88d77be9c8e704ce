import { afterAll, beforeAll, expect, test } from 'vitest';
import { nightsWithin } from '../../../model/night.ts';
import { asScript, type House, openHouse } from './house.ts';

let house: House;
beforeAll(async () => {
  house = await openHouse();
});
afterAll(() => house.close());

const ask = (from: string, to: string, tub = 'kowhai') =>
  house.app.inject({
    url: `/api/tubs/${tub}/nights?from=${from}&to=${to}`,
    headers: asScript,
  });

test('nights are told as days tell them, from sunset to sunrise', async () => {
  const [from, to] = ['2026-02-28T00:00:00Z', '2026-03-03T00:00:00Z'];
  const answer = await ask(from, to);
  expect(answer.statusCode).toBe(200);
  const { items } = answer.json<{ items: { from: string; to: string }[] }>();
  const expected = nightsWithin(Date.parse(from), Date.parse(to), -41.27, 173.28);
  expect(expected).toHaveLength(3);
  expect(items.map((night) => [Date.parse(night.from), Date.parse(night.to)])).toEqual(
    expected.map((night) => [night.from, night.to]),
  );
});

test('more than forty days are refused, and ends that are out of order', async () => {
  expect((await ask('2026-01-01T00:00:00Z', '2026-02-10T00:00:00Z')).statusCode).toBe(200);
  expect((await ask('2026-01-01T00:00:00Z', '2026-02-10T00:00:01Z')).statusCode).toBe(400);
  expect((await ask('2026-02-10T00:00:00Z', '2026-01-01T00:00:00Z')).statusCode).toBe(400);
});

test('a tub without a place has no nights, and one that nobody knows is not there', async () => {
  const { watching } = house;
  const { tubs } = watching;
  watching.tubs = async () => [{ id: 'heard', name: 'heard', setUp: false }];
  const answer = await ask('2026-01-01T00:00:00Z', '2026-01-02T00:00:00Z', 'heard');
  watching.tubs = tubs;
  expect(answer.json()).toEqual({ items: [], next: null });
  expect((await ask('2026-01-01T00:00:00Z', '2026-01-02T00:00:00Z', 'elsewhere')).statusCode).toBe(
    404,
  );
});
