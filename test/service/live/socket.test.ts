import { io, type Socket } from 'socket.io-client';
import { afterAll, afterEach, beforeAll, expect, test } from 'vitest';
import type { ClientEvents, Day, Now, ServerEvents } from '../../../model/shapes.ts';
import { type House, kowhaiPlace, openBoard, openHouse, setUp, TOKEN } from './house.ts';
import { endAll } from './program.ts';

type Client = Socket<ServerEvents, ClientEvents>;

let house: House;
const clients: Client[] = [];

beforeAll(async () => {
  house = await openHouse();
  await setUp(house, { id: 'kowhai', place: kowhaiPlace }, { id: 'rata', place: kowhaiPlace });
});
afterEach(() => {
  for (const client of clients.splice(0)) client.close();
});
afterAll(endAll);

/** A client that never comes back by itself: what ended stays ended. */
function client(options: Parameters<typeof io>[1]): Client {
  const opened: Client = io(house.url, {
    ...{ reconnection: false, forceNew: true, transports: ['websocket'] },
    ...options,
  });
  clients.push(opened);
  return opened;
}

const asPhone = (cookie: string, origin = house.url) =>
  client({ extraHeaders: { cookie, origin } });

const opened = (one: Client) =>
  new Promise<void>((resolve, reject) => {
    one.once('connect', resolve);
    one.once('connect_error', reject);
  });
const refused = (one: Client) =>
  new Promise<{ data: { status: number; code: string } }>((resolve, reject) => {
    one.once('connect', () => reject(new Error('let in')));
    one.once('connect_error', (error) => resolve(error as never));
  });
const when = <E extends 'now' | 'day'>(
  one: Client,
  event: E,
  is: (told: (E extends 'now' ? Now : Day) & { tub: string }) => boolean,
) =>
  new Promise<(E extends 'now' ? Now : Day) & { tub: string }>((resolve) => {
    const hear = (told: never) => {
      if (is(told)) resolve(told);
    };
    one.on(event as 'now', hear as never);
  });

/** Pairs a phone as a person would; gives what its browser then sends. */
async function pair(right: 'full' | 'viewer', tubs?: string[]) {
  const made = await house.call('POST', '/api/phones', { right, ...(tubs && { tubs }) });
  expect(made.status, made.text).toBe(201);
  const code = made.body.link.split('#')[1];
  const paired = await house.call('POST', '/api/pair', { code }, {});
  expect(paired.status, paired.text).toBe(200);
  return { id: paired.body.id, cookie: paired.headers.get('set-cookie')!.split(';')[0]! };
}

test('who watches a tub is told what is so at once, then what changes, then what the day became', async () => {
  const one = client({ auth: { token: TOKEN } });
  await opened(one);
  const first = when(one, 'now', () => true);
  one.emit('watch', { tub: 'kowhai' });
  expect(await first).toMatchObject({ tub: 'kowhai', values: {} });

  const board = await openBoard(house);
  const changed = when(one, 'now', ({ values }) => values['tub/temperature']?.value === 36.5);
  const day = when(one, 'day', ({ litres }) => (litres ?? 0) > 0);
  await board.publishAsync('sunsteep/kowhai/tub/temperature', '36.5', { qos: 1 });
  expect(await changed).toMatchObject({ tub: 'kowhai', figures: { tubC: 36.5 } });
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  const flow = { bt: t, n: 'pump/flow', v: 4 };
  const later = { n: 'pump/flow', t: 60, v: 4 };
  await board.publishAsync('sunsteep/kowhai', JSON.stringify([flow, later]), { qos: 1 });
  expect(await day).toMatchObject({ tub: 'kowhai', date: '2024-03-02' });
  await board.endAsync();
});

test('of one tub at most one picture a second is sent, however much is heard', async () => {
  const one = client({ auth: { token: TOKEN } });
  await opened(one);
  const first = when(one, 'now', () => true);
  one.emit('watch', { tub: 'kowhai' });
  await first;
  let told = 0;
  one.on('now', () => told++);
  const start = Date.now();
  const board = await openBoard(house);
  const last = when(one, 'now', ({ values }) => values['tub/temperature']?.value === 31);
  for (let i = 0; i < 150; i++) {
    await board.publishAsync('sunsteep/kowhai/tub/temperature', String(30 + i / 149), { qos: 1 });
  }
  await last;
  await board.endAsync();
  expect(told).toBeLessThanOrEqual(1 + (Date.now() - start) / 1000);
});

test('a viewer of one tub watches that one, and hears nothing of another', async () => {
  const { cookie } = await pair('viewer', ['kowhai']);
  const one = asPhone(cookie);
  await opened(one);
  const heard: string[] = [];
  one.on('now', ({ tub }) => heard.push(tub));
  const answer = (tub: string) =>
    new Promise<object>((resolve) => one.emit('watch', { tub }, (told) => resolve(told)));
  expect(await answer('rata')).toHaveProperty('problem');
  expect(await answer('no-such')).toHaveProperty('problem');
  expect(await answer('kowhai')).toMatchObject({ tub: 'kowhai' });
  const board = await openBoard(house);
  const mine = when(one, 'now', ({ values }) => values['tub/temperature']?.value === 35);
  await board.publishAsync('sunsteep/rata/tub/temperature', '34', { qos: 1 });
  await board.publishAsync('sunsteep/kowhai/tub/temperature', '35', { qos: 1 });
  await mine;
  await board.endAsync();
  expect(new Set(heard)).toEqual(new Set(['kowhai']));
  expect((await house.call('GET', '/api/tubs', undefined, { cookie })).body.items).toHaveLength(1);
});

test('a phone that is removed is out at once, its socket too', async () => {
  const { id, cookie } = await pair('full');
  const one = asPhone(cookie);
  await opened(one);
  const out = new Promise<string>((resolve) => one.once('disconnect', resolve));
  expect((await house.call('DELETE', `/api/phones/${id}`)).status).toBe(204);
  expect(await out).toBe('io server disconnect');
  expect((await house.call('GET', '/api/tubs', undefined, { cookie })).status).toBe(401);
  expect((await refused(asPhone(cookie))).data).toMatchObject({ status: 401 });
});

test('nobody gets a socket without a right, nor from a page of somebody else', async () => {
  expect((await refused(client({}))).data).toMatchObject({ status: 401 });
  expect((await refused(client({ auth: { token: 'x'.repeat(40) } }))).data).toMatchObject({
    status: 401,
  });
  const { cookie } = await pair('viewer');
  const foreign = asPhone(cookie, 'http://elsewhere.example');
  expect((await refused(foreign)).data).toMatchObject({ status: 403 });
});

test('a viewer reads, but sees no set-up, nothing unreadable and no phones, and changes nothing', async () => {
  const { cookie } = await pair('viewer');
  const asViewer = (method: string, path: string, body?: unknown) =>
    house.call(method, path, body, { cookie, origin: house.url });
  for (const path of ['tubs', 'tubs/kowhai/now', 'tubs/kowhai/days', 'tubs/kowhai/months']) {
    expect((await asViewer('GET', `/api/${path}`)).status).toBe(200);
  }
  for (const path of ['setup', 'unreadable', 'phones', 'connect']) {
    expect({ path, status: (await asViewer('GET', `/api/${path}`)).status }).toEqual({
      path,
      status: 403,
    });
  }
  expect((await asViewer('PUT', '/api/setup', { tubs: [] })).status).toBe(403);
  expect((await asViewer('POST', '/api/phones', { right: 'viewer' })).status).toBe(403);
  expect((await asViewer('DELETE', '/api/tubs/kowhai')).status).toBe(403);
  expect((await house.get<{ tubs: [] }>('/api/setup')).tubs).toHaveLength(2);
});
