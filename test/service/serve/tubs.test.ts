import { afterEach, beforeEach, expect, test } from 'vitest';
import { dayWithQuartersSchema, monthSchema, nowSchema } from '../../../model/shapes.ts';
import { asPage, asScript, type House, openHouse, T0 } from './house.ts';
import { day, dayWithQuarters, lower, month, now } from './samples.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

const get = (path: string) => house.app.inject({ url: `/api${path}`, headers: asScript });

test('the tubs come as a list that says whether they are simulated', async () => {
  const tubs = [
    { id: 'kowhai', name: 'Kōwhai Terrace', setUp: true },
    { id: 'lower', name: 'lower', setUp: true },
  ];
  expect((await get('/tubs')).json()).toEqual({ items: tubs, next: null, demo: false });
  const demo = await openHouse({ demo: true });
  const answer = await demo.app.inject({ url: '/api/tubs', headers: asScript });
  expect(answer.json()).toEqual({ items: tubs, next: null, demo: true });
  await demo.close();
});

test('what was worked out is served as it is', async () => {
  // the samples are of the shapes that the description promises
  expect([nowSchema.parse(now), dayWithQuartersSchema.parse(dayWithQuarters)]).toBeTruthy();
  expect(monthSchema.parse(month)).toEqual(month);
  expect((await get('/tubs/kowhai/now')).json()).toEqual(now);
  expect((await get('/tubs/kowhai/days')).json()).toEqual({ items: [day], next: null });
  expect((await get('/tubs/kowhai/days/2026-03-01')).json()).toEqual(dayWithQuarters);
  expect((await get('/tubs/kowhai/months')).json()).toEqual({ items: [month], next: null });
});

test('spans of days and months are handed on with both ends', async () => {
  await get('/tubs/kowhai/days?from=2026-02-01&to=2026-02-01');
  await get('/tubs/kowhai/days?from=2026-02-01');
  await get('/tubs/kowhai/months?from=2025-12&to=2026-02-17');
  await get('/tubs/kowhai/months?to=9999-12-31');
  expect(house.watching.asked).toEqual([
    { days: 'kowhai', from: '2026-02-01', to: '2026-02-01' },
    { days: 'kowhai', from: '2026-02-01', to: undefined },
    { months: 'kowhai', from: '2025-12', to: '2026-02' },
    { months: 'kowhai', from: undefined, to: '9999-11' },
  ]);
});

test('dates that are none, and spans that end before they begin, are refused', async () => {
  for (const [path, place] of [
    ['/tubs/kowhai/days?from=2026-02-30', '/from'],
    ['/tubs/kowhai/days?to=yesterday', '/to'],
    ['/tubs/kowhai/days?from=2026-03-02&to=2026-03-01', '/from'],
    ['/tubs/kowhai/days/2026-13-01', '/date'],
    ['/tubs/kowhai/days/today', '/date'],
    ['/tubs/kowhai/months?from=2026-13', '/from'],
    ['/tubs/kowhai/months?from=2026-03&to=2026-02', '/from'],
  ]) {
    const answer = await get(path!);
    expect(answer.statusCode).toBe(400);
    expect(answer.json()).toMatchObject({
      code: 'SUNSTEEP_CALL_INVALID',
      faults: [{ path: place }],
    });
  }
});

test('a tub or a day that is not there is not found', async () => {
  for (const path of [
    '/tubs/nowhere/now',
    '/tubs/nowhere/days',
    '/tubs/nowhere/days/2026-03-01',
    '/tubs/nowhere/months',
    '/tubs/..%2f..%2fetc/now',
    '/tubs/kowhai/days/2020-01-01',
  ]) {
    const answer = await get(path);
    expect(answer.statusCode).toBe(404);
    expect(answer.json().code).toBe('SUNSTEEP_NOT_FOUND');
  }
});

test('a tub is forgotten only when it is asked twice', async () => {
  const remove = (query: string) =>
    house.app.inject({ method: 'DELETE', url: `/api/tubs/kowhai${query}`, headers: asScript });
  for (const query of ['', '?confirm=', '?confirm=lower', '?confirm=true']) {
    const answer = await remove(query);
    expect(answer.statusCode).toBe(409);
    expect(answer.json().code).toBe('SUNSTEEP_NOT_CONFIRMED');
    expect(answer.json().detail).toContain('?confirm=kowhai');
  }
  expect(house.forgotten).toEqual([]);
  const answer = await remove('?confirm=kowhai');
  expect(answer.statusCode).toBe(204);
  expect(answer.body).toBe('');
  expect(house.forgotten).toEqual(['kowhai']);
  expect(house.watching.versions.at(-1)).toEqual({ setup: { tubs: [lower] }, from: T0 });
  expect((await remove('?confirm=kowhai')).statusCode).toBe(404);
});

test('what could not be read is listed, for a right for some tubs theirs alone', async () => {
  const unreadable = [
    { topic: 'sunsteep/kowhai/tub/temperature', payload: 'warm', why: 'not a number' },
    { topic: 'sunsteep/lower/tub/flavour', payload: '1', why: 'unknown point' },
    { topic: 'shed/kowhai', payload: '\\x00', why: 'unknown topic' },
  ];
  await house.store.keep({ readings: [], unreadable, at: T0 });
  const { items, next } = (await get('/unreadable')).json();
  const at = '2026-03-01T02:00:00.000Z';
  expect(next).toBeNull();
  expect(items).toHaveLength(3);
  for (const kind of unreadable) {
    expect(items).toContainEqual({ ...kind, count: 1, first: at, last: at });
  }
  const { cookie } = await house.pair({ tubs: ['kowhai'] });
  const own = await house.app.inject({ url: '/api/unreadable', headers: asPage(cookie) });
  expect(own.json().items.map(({ topic }: { topic: string }) => topic)).toEqual([
    'sunsteep/kowhai/tub/temperature',
  ]);
});

test('boards are told where to publish, and owners which logins were refused', async () => {
  const refused = [{ address: '10.0.0.9', user: 'sensor', at: T0, why: 'wrong password' }];
  const at = '2026-03-01T02:00:00.000Z';
  const open = await openHouse({
    hearingHealth: () => ({ trouble: 'The port is taken.', since: T0, refused }),
  });
  const answer = await open.app.inject({
    url: '/api/connect',
    headers: { ...asScript, host: '192.168.1.7:8080' },
  });
  expect(answer.json()).toEqual({
    embedded: true,
    host: '192.168.1.7',
    port: 1883,
    tlsPort: null,
    user: 'sensor',
    password: 'for-the-boards',
    trouble: 'The port is taken.',
    since: at,
    refused: [{ ...refused[0], at }],
  });
  await open.close();
});

test('a Host header that names no host is refused', async () => {
  for (const host of ['two words', 'a:b:c', '[']) {
    const headers = { ...asScript, host };
    const answer = await house.app.inject({ url: '/api/connect', headers });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().code).toBe('SUNSTEEP_CALL_INVALID');
  }
});

test('of an outside broker no password is told', async () => {
  const outsideBroker = { url: 'mqtts://broker.test', username: 'loop', password: 'hush' };
  const outside = await openHouse({
    embeddedBroker: () => null,
    settings: { ...house.parts.settings, outsideBroker },
  });
  const answer = await outside.app.inject({ url: '/api/connect', headers: asScript });
  expect(answer.json()).toMatchObject({
    embedded: false,
    host: 'broker.test',
    port: 8883,
    tlsPort: 8883,
    password: null,
  });
  expect(answer.body).not.toContain('hush');
  await outside.close();
});
