import type { AddressInfo } from 'node:net';
import { io, type Socket } from 'socket.io-client';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { ClientEvents, Day, Now, ServerEvents } from '../../../model/shapes.ts';
import { type House, openHouse, T0, TOKEN, viewer } from './house.ts';
import { day, now } from './samples.ts';

type Client = Socket<ServerEvents, ClientEvents>;

let house: House;
let origin: string;
const clients: Client[] = [];

beforeEach(async () => {
  house = await openHouse();
  await house.app.listen({ host: '127.0.0.1', port: 0 });
  origin = `http://127.0.0.1:${(house.app.server.address() as AddressInfo).port}`;
});
afterEach(async () => {
  for (const client of clients.splice(0)) client.close();
  await house.close();
});

/** A client that never comes back by itself: what ended stays ended. */
function client(options: Parameters<typeof io>[1] = {}): Client {
  const opened: Client = io(origin, { reconnection: false, forceNew: true, ...options });
  clients.push(opened);
  return opened;
}

const transports = ['websocket', 'polling'] as const;
const asPhone = (cookie: string, from: string | null = origin) => ({
  extraHeaders: { cookie, ...(from !== null && { origin: from }) },
});

type Told = { message: string; data: { code: string; status: number } };
const ended = (opened: Client) =>
  new Promise<string>((resolve) => opened.once('disconnect', resolve));
const opened = (one: Client) =>
  new Promise<void>((resolve, reject) => {
    one.once('connect', resolve);
    one.once('connect_error', reject);
  });
const refusal = (one: Client) =>
  new Promise<Told>((resolve, reject) => {
    one.once('connect', () => reject(new Error('let in')));
    one.once('connect_error', (error) => resolve(error as unknown as Told));
  });
const next = <E extends 'now' | 'day'>(one: Client, event: E) =>
  new Promise<(E extends 'now' ? Now : Day) & { tub: string }>((resolve) => {
    one.once(event as 'now', resolve as never);
  });
const watch = (one: Client, request: unknown) =>
  new Promise<Record<string, unknown>>((resolve) => {
    one.emit('watch', request as { tub: string }, (answer) =>
      resolve(answer as unknown as Record<string, unknown>),
    );
  });

/** Watches a tub; resolves once both answers, in the call and as an event, have come. */
async function watched(one: Client, tub: string): Promise<void> {
  const told = next(one, 'now');
  await watch(one, { tub });
  await told;
}

test('nobody comes in without token or cookie, nor with wrong ones', async () => {
  for (const transport of transports) {
    for (const options of [
      {},
      { auth: { token: 'x'.repeat(TOKEN.length) } },
      { auth: { token: '' } },
      { extraHeaders: { authorization: 'Bearer nothing' } },
      asPhone('sunsteep_phone=guess'),
    ]) {
      const told = await refusal(client({ transports: [transport], ...options }));
      expect(told.data).toMatchObject({ code: 'SUNSTEEP_NOT_PAIRED', status: 401 });
    }
  }
});

test('the token opens it in the handshake or in the header, from anywhere', async () => {
  for (const transport of transports) {
    await opened(client({ transports: [transport], auth: { token: TOKEN } }));
    const extraHeaders = { authorization: `Bearer ${TOKEN}`, origin: 'https://script.test' };
    await opened(client({ transports: [transport], extraHeaders }));
  }
});

test('a cookie opens it for one of our own pages alone', async () => {
  const { cookie } = await house.pair(viewer);
  for (const transport of transports) {
    const from = (page: string | null) =>
      client({ transports: [transport], ...asPhone(cookie, page) });
    await opened(from(origin));
    for (const page of ['https://evil.test', 'null', `${origin}.evil.test`, null]) {
      const told = await refusal(from(page));
      expect(told.data).toMatchObject({ code: 'SUNSTEEP_NOT_ALLOWED', status: 403 });
    }
  }
});

test('watching is answered with what is so at once, then with news of that tub', async () => {
  const phone = client({ auth: { token: TOKEN } });
  await opened(phone);
  const first = next(phone, 'now');
  expect(await watch(phone, { tub: 'kowhai' })).toEqual({ ...now, tub: 'kowhai' });
  expect(await first).toEqual({ ...now, tub: 'kowhai' });

  const heard: unknown[] = [];
  phone.onAny((event, news) => heard.push([event, news.tub, news.date]));
  house.watching.tell('lower', [day]);
  const last = next(phone, 'day');
  house.watching.tell('kowhai', [day]);
  expect(await last).toEqual({ ...day, tub: 'kowhai' });
  expect(heard).toEqual([
    ['now', 'kowhai', undefined],
    ['day', 'kowhai', day.date],
  ]);
});

test('watching without asking for an answer is answered as an event', async () => {
  const phone = client({ auth: { token: TOKEN } });
  await opened(phone);
  const first = next(phone, 'now');
  phone.emit('watch', { tub: 'lower' });
  expect((await first).tub).toBe('lower');
});

test('several tubs can be watched, each named in what is told', async () => {
  const phone = client({ auth: { token: TOKEN } });
  await opened(phone);
  await watch(phone, { tub: 'kowhai' });
  await watch(phone, { tub: 'lower' });
  const heard: string[] = [];
  const both = new Promise<void>((resolve) => {
    phone.on('day', ({ tub }) => {
      heard.push(tub);
      if (heard.length === 2) resolve();
    });
  });
  house.watching.tell('lower', [day]);
  house.watching.tell('kowhai', [day]);
  await both;
  expect(heard).toEqual(['lower', 'kowhai']);
});

test('a tub outside the right is not told of, whether it exists or not', async () => {
  const { cookie } = await house.pair({ ...viewer, tubs: ['lower'] });
  const phone = client(asPhone(cookie));
  await opened(phone);
  const refused = await watch(phone, { tub: 'kowhai' });
  expect(refused).toEqual({ problem: 'This phone may not see that tub.' });
  expect(await watch(phone, { tub: 'nowhere' })).toEqual(refused);

  await watched(phone, 'lower');
  const heard: string[] = [];
  phone.on('now', ({ tub }) => heard.push(tub));
  const own = next(phone, 'day');
  house.watching.tell('kowhai', [day]);
  house.watching.tell('lower', [day]);
  await own;
  expect(heard).toEqual(['lower']);
});

test('what makes no sense is answered with a problem, and ends nothing', async () => {
  const phone = client({ auth: { token: TOKEN } });
  await opened(phone);
  for (const request of [undefined, null, 7, 'kowhai', {}, { tub: 3 }, { tub: 'x'.repeat(65) }]) {
    expect(await watch(phone, request)).toEqual({ problem: 'watch takes { "tub": … }.' });
  }
  expect((await watch(phone, { tub: 'nowhere' })).problem).toMatch(/no tub "nowhere"/);
  house.watching.breaks = true;
  const broken = await watch(phone, { tub: 'kowhai' });
  house.watching.breaks = false;
  expect(broken.problem).not.toContain('inner text');
  expect(await watch(phone, { tub: 'kowhai' })).toMatchObject({ tub: 'kowhai' });
});

test('a phone that is removed is out at once, and stays out', async () => {
  const owner = await house.pair();
  const { id, cookie } = await house.pair(viewer);
  const phone = client(asPhone(cookie));
  const other = client(asPhone(owner.cookie));
  await Promise.all([opened(phone), opened(other)]);
  await watch(phone, { tub: 'kowhai' });
  const end = ended(phone);
  const answer = await fetch(`${origin}/api/phones/${id}`, {
    method: 'DELETE',
    headers: { authorization: `Bearer ${TOKEN}` },
  });
  expect(answer.status).toBe(204);
  await end;
  expect(other.connected).toBe(true);
  expect((await refusal(client(asPhone(cookie)))).data.code).toBe('SUNSTEEP_NOT_PAIRED');
});

test('a phone that was put out elsewhere is out too', async () => {
  const { id, cookie } = await house.pair(viewer);
  const phone = client(asPhone(cookie));
  await opened(phone);
  const end = ended(phone);
  await house.store.removePhone(id);
  await end;
});

test('a right that ends by itself ends the connection, idle or not', async () => {
  const { cookie } = await house.pair({ ...viewer, until: T0 + 60_000 });
  const [idle, busy] = [client(asPhone(cookie)), client(asPhone(cookie))];
  await Promise.all([opened(idle), opened(busy)]);
  await watched(busy, 'kowhai');
  const heard: unknown[] = [];
  busy.on('now', (news) => heard.push(news));
  const ends = Promise.all([ended(idle), ended(busy)]);
  house.clock.t = T0 + 60_000;
  house.watching.tell('kowhai', [day]);
  await ends;
  expect(heard).toEqual([]);
});

test('a page that floods is dropped', async () => {
  const phone = client({ auth: { token: TOKEN }, transports: ['websocket'] });
  await opened(phone);
  const end = ended(phone);
  phone.emit('watch', { tub: 'x'.repeat(20_000) });
  await end;
  const again = client({ auth: { token: TOKEN } });
  await opened(again);
});

test('closing ends every connection and hears no more news', async () => {
  const phone = client({ auth: { token: TOKEN } });
  await opened(phone);
  expect(house.watching.heardBy).toBe(1);
  const end = ended(phone);
  await house.app.close();
  await end;
  expect(house.watching.heardBy).toBe(0);
});
