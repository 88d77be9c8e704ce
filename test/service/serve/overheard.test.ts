import { afterEach, beforeEach, expect, test } from 'vitest';
import type { OverheardTopic } from '../../../collector-service/ingest/overhearing.ts';
import { type House, openHouse, T0, TOKEN } from './house.ts';
import { kowhai, now } from './samples.ts';

let house: House;
let until: number | null;
let topics: OverheardTopic[];

beforeEach(async () => {
  until = null;
  topics = [];
  house = await openHouse({
    overhearing: {
      start: (minutes) => {
        until = T0 + minutes * 60_000;
      },
      told: () => ({ until, topics }),
    },
  });
});
afterEach(() => house.close());

const headers = { authorization: `Bearer ${TOKEN}` };
const listen = (payload: object) =>
  house.app.inject({ method: 'POST', url: '/api/listen', headers, payload });
const heard = async (query = '') =>
  (await house.app.inject({ url: `/api/listen${query}`, headers })).json();

test('it listens for as long as it is asked to, ten minutes at the most', async () => {
  expect(await heard()).toEqual({ until: null, items: [], next: null });
  expect((await listen({ minutes: 3 })).json()).toEqual({ until: '2026-03-01T02:03:00.000Z' });
  expect(await heard()).toMatchObject({ until: '2026-03-01T02:03:00.000Z' });
  for (const minutes of [0, 11, '3', null]) {
    expect((await listen({ minutes })).statusCode).toBe(400);
  }
});

test('it tells topics with their numbers, what each is wired to, and what else it may be', async () => {
  const number = (pointer: string, value: number) => ({
    pointer,
    values: [value],
    isSwitch: false,
  });
  topics = [
    {
      topic: 'shed/7/state',
      payload: '…',
      at: T0,
      count: 4,
      earlier: false,
      numbers: [number('/a', 36.9), number('/outdoor', 14), number('/rssi', -61)],
    },
  ];
  const wire = { topic: 'shed/+/state', pointer: '/a', tub: '{1}', point: 'tub/temperature' };
  await house.watching.putSetup({ tubs: [kowhai], wiring: [wire] }, 0);
  const { items } = await heard('?tub=kowhai');
  expect(items).toMatchObject([
    {
      topic: 'shed/7/state',
      time: '2026-03-01T02:00:00.000Z',
      count: 4,
      numbers: [
        { pointer: '/a', value: 36.9, wired: { tub: '{1}', point: 'tub/temperature' } },
        { value: 14, wired: null, mayBe: { point: 'outdoor/temperature', why: 'name' } },
        { value: -61, wired: null, mayBe: null },
      ],
    },
  ]);
  expect([kowhai.id, Object.keys(now.values)]).toEqual([
    'kowhai',
    expect.not.arrayContaining(['outdoor/temperature']),
  ]);
});

test('before a tub is heard, what was wired for it is guessed no second time', async () => {
  const number = (pointer: string) => ({ pointer, values: [36.9], isSwitch: false });
  topics = [
    {
      topic: 'shed/state',
      payload: '…',
      at: T0,
      count: 1,
      earlier: false,
      numbers: [number('/0/t'), number('/1/t')],
    },
  ];
  const wire = { topic: 'shed/state', pointer: '/0/t', tub: 'my-tub', point: 'tub/temperature' };
  const guessesOf = async () =>
    (await heard('?tub=my-tub')).items[0].numbers.map(
      ({ mayBe }: { mayBe: { point: string } | null }) => mayBe?.point ?? null,
    );
  expect(await guessesOf()).toEqual(['tub/temperature', 'tub/temperature']);
  await house.watching.putSetup({ tubs: [], wiring: [wire] }, 0);
  expect(await guessesOf()).toEqual([null, null]);
});
