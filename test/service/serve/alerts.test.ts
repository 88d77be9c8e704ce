import { afterEach, beforeEach, expect, test } from 'vitest';
import { asScript, type House, openHouse, T0 } from './house.ts';
import { alert } from './samples.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

const get = (url: string) => house.app.inject({ url, headers: asScript });
const post = (action: string, payload?: object, id = alert.id) =>
  house.app.inject({
    method: 'POST',
    url: `/api/tubs/kowhai/alerts/${id}/${action}`,
    headers: asScript,
    ...(payload && { payload }),
  });

test('alerts come as a list, of a known tub alone', async () => {
  expect((await get('/api/tubs/kowhai/alerts')).json()).toEqual({ items: [alert], next: null });
  expect((await get('/api/tubs/lower/alerts')).json()).toEqual({ items: [], next: null });
  expect((await get('/api/tubs/other/alerts')).statusCode).toBe(404);
});

test('open=true leaves out what is over; anything else is refused', async () => {
  await post('not-a-fault', { why: 'we had it off' });
  expect((await get('/api/tubs/kowhai/alerts?open=true')).json().items).toEqual([]);
  expect((await get('/api/tubs/kowhai/alerts?open=false')).json().items).toHaveLength(1);
  expect((await get('/api/tubs/kowhai/alerts?open=yes')).statusCode).toBe(400);
});

test('an alert is acknowledged, kept quiet and called no fault, and comes back as it then is', async () => {
  expect((await post('acknowledge')).json()).toMatchObject({ acknowledgedAt: expect.any(String) });
  const until = '2026-03-04T12:00:00+13:00';
  expect((await post('shelve', { until })).json()).toMatchObject({
    shelvedUntil: '2026-03-03T23:00:00.000Z',
  });
  expect((await post('not-a-fault', { why: ' cleaning ' })).json().until).not.toBeNull();
});

test('nothing is kept quiet for longer than a year', async () => {
  const { shelvedUntil } = (await post('shelve', { until: '2099-01-01T00:00:00Z' })).json();
  expect(Date.parse(shelvedUntil)).toBe(T0 + 366 * 86_400_000);
});

test('quiet until the present is taken, and until a time long past refused in words', async () => {
  const now = await post('shelve', { until: new Date(T0).toISOString() });
  expect(now.json()).toMatchObject({ shelvedUntil: new Date(T0).toISOString() });
  const past = await post('shelve', { until: '2020-01-01T00:00:00Z' });
  expect(past.statusCode).toBe(400);
  expect(past.json().faults).toEqual([
    { path: '/until', why: expect.stringMatching(/^2020-01-01T00:00:00.000Z is past, it is /) },
  ]);
});

test('what cannot be done with an alert is refused', async () => {
  expect((await post('shelve', {})).statusCode).toBe(400);
  expect((await post('shelve', { until: 'tomorrow' })).statusCode).toBe(400);
  expect((await post('not-a-fault', { why: ' ' })).statusCode).toBe(400);
  expect((await post('not-a-fault')).statusCode).toBe(400);
  expect((await post('acknowledge', undefined, 'other')).statusCode).toBe(404);
});
