import type { LightMyRequestResponse } from 'fastify';
import { io, type Socket } from 'socket.io-client';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { asScript, type Running, runService, TOKEN } from './service.ts';

/** Every way in that the router and the socket know, tried by those who have no right to it. */

let house: Running;
/** Method and address of every route under /api, with something in the place of each parameter. */
let asks: [method: string, path: string, url: string][];
const clients: Socket[] = [];

const inPlaceOf: Record<string, string> = {
  ':tub': 'kowhai',
  ':date': '2026-03-01',
  ':month': '2026-03',
  ':id': 'none',
};

beforeAll(async () => {
  house = await runService();
  asks = house
    .routes()
    .map((route) => route.split(' ') as [string, string])
    .filter(([, path]) => path.startsWith('/api'))
    .map(([method, path]) => [method, path, path.replace(/:\w+/g, (name) => inPlaceOf[name]!)]);
});
afterEach(() => {
  for (const client of clients.splice(0)) client.close();
});
afterAll(() => house.close());

type Headers = Record<string, string>;

const call = (
  method: string,
  url: string,
  headers: Headers = {},
  payload: object | null = null,
): Promise<LightMyRequestResponse> =>
  house.service.app.inject({
    ...{ method: method as 'GET', url, headers },
    ...(payload && { payload }),
  });

/** Refused with a problem document that holds nothing of the house. */
function expectShut(answer: LightMyRequestResponse, status: number, what: string) {
  expect(answer.statusCode, what).toBe(status);
  expect(answer.headers['content-type'], what).toContain('application/problem+json');
  expect(JSON.stringify(answer.headers), what).not.toMatch(/etag|set-cookie|kowhai|Kōwhai/i);
  expect(answer.body, what).not.toMatch(/kowhai|Kōwhai|lower|Pacific|for-the-boards/);
}

/** What is public: it needs no right, and takes a code that only its owner knows. */
const isPublic = (path: string) => path === '/api/pair';

test('there are routes to try, and nothing but pairing, health and files stands outside', () => {
  expect(asks.length).toBeGreaterThan(50);
  const names = house.routes().map((route) => route.split(' ')[1]!);
  const others = names.filter((path) => !path.startsWith('/api') && path !== '/health');
  // what is left is the page and its files, each with a name of its own: no parameter, no wildcard
  for (const path of others) expect(path).toMatch(/^\/$|\.\w+$/);
});

describe('every route', () => {
  test('is shut to who has no right, a wrong one, or one in the wrong place', async () => {
    for (const [method, path, url] of asks) {
      if (isPublic(path)) continue;
      for (const headers of [
        {},
        { authorization: 'Bearer ' },
        { authorization: `Bearer ${TOKEN}x` },
        { authorization: `Basic ${Buffer.from(`x:${TOKEN}`).toString('base64')}` },
        { cookie: `sunsteep_phone=${TOKEN}` },
        { cookie: 'sunsteep_phone=%00; sunsteep_phone=__proto__' },
        { 'x-forwarded-for': '127.0.0.1', 'x-original-url': '/health' },
        { 'x-http-method-override': 'GET', 'x-sunsteep-phone': TOKEN },
      ] as Headers[]) {
        expectShut(await call(method, url, headers), 401, `${method} ${url}`);
      }
      expectShut(await call(method, `${url}?token=${TOKEN}&access_token=${TOKEN}`), 401, url);
    }
  });

  test('is shut to a phone that was removed, and to one whose right has ended', async () => {
    const removed = await house.pair();
    const ended = await house.pair({ until: house.clock.now() + 60_000 });
    expect((await call('GET', '/api/setup', { cookie: ended.cookie })).statusCode).toBe(200);
    await call('DELETE', `/api/phones/${removed.id}`, asScript);
    house.clock.ahead = 60_000;
    for (const [method, path, url] of asks) {
      if (isPublic(path)) continue;
      for (const { cookie } of [removed, ended]) {
        expectShut(await call(method, url, { cookie, origin: 'http://localhost' }), 401, url);
      }
    }
    house.clock.ahead = 0;
  });

  test('that changes something changes nothing for a viewer, nor shows what is the owner’s', async () => {
    const { cookie } = await house.pair({ right: 'viewer' });
    const own = { cookie, origin: 'http://localhost' };
    const before = await call('GET', '/api/setup', asScript);
    const hidden = /^\/api\/(setup|unreadable|listen|phones|connect|disk|telling$|.*\/handover)/;
    let [shut, open] = [0, 0];
    for (const [method, path, url] of asks) {
      // a phone may say for itself whether and how it is told
      if (isPublic(path) || path === '/api/telling/push') continue;
      const reads = method === 'GET' || method === 'HEAD';
      const answer = await call(method, url, own);
      if (!reads || hidden.test(path)) {
        shut++;
        expect(answer.statusCode, `${method} ${url}`).toBe(403);
      } else {
        open++;
        expect([200, 400, 404], `${method} ${url}`).toContain(answer.statusCode);
      }
      if (path.endsWith('openapi.json')) continue; // it tells names of fields, and nobody's
      expect(answer.body, url).not.toMatch(/for-the-boards|latitude|privateKey/);
    }
    expect(shut).toBeGreaterThan(20);
    expect(open).toBeGreaterThan(15);
    expect((await call('GET', '/api/setup', asScript)).headers.etag).toBe(before.headers.etag);
  });

  test('tells a right for one tub nothing of another', async () => {
    const { cookie } = await house.pair({ tubs: ['lower'] });
    const own = { cookie, origin: 'http://localhost' };
    for (const [method, path, url] of asks) {
      if (!path.includes(':tub')) continue;
      const answer = await call(method, url, own);
      expect(answer.statusCode, url).toBe(403);
      const missing = await call(method, url.replace('kowhai', 'nowhere'), own);
      expect(missing.body, url).toBe(answer.body);
    }
    for (const url of ['/api/tubs', '/api/tubs?now=true', '/api/setup', '/api/unreadable']) {
      expect((await call('GET', url, own)).body, url).not.toContain('kowhai');
    }
  });

  test('answers methods that it has not as if it were not there', async () => {
    for (const url of new Set(asks.map(([, , url]) => url))) {
      const known = asks.filter((ask) => ask[2] === url).map(([method]) => method);
      for (const method of ['PATCH', 'OPTIONS', 'PUT', 'POST', 'DELETE', 'GET'] as const) {
        if (known.includes(method)) continue;
        expectShut(await call(method, url), 401, `${method} ${url}`);
        const answer = await call(method, url, asScript);
        expect(answer.statusCode, `${method} ${url}`).toBe(404);
        expect(answer.headers).not.toHaveProperty('access-control-allow-origin');
      }
    }
  });
});

/** What browsers send when a page of somebody else calls us with the cookie that they hold for us. */
const foreign: [what: string, headers: Headers][] = [
  ['another site', { origin: 'https://evil.test', 'sec-fetch-site': 'cross-site' }],
  ['another port', { origin: 'http://localhost:5000', 'sec-fetch-site': 'same-site' }],
  ['a name that begins like ours', { origin: 'http://localhost.evil.test' }],
  ['a name that ends like ours', { origin: 'http://evil-localhost' }],
  ['our name with the port that is meant anyway', { origin: 'http://localhost:80' }],
  ['our name over TLS', { origin: 'https://localhost' }],
  ['our name with a user', { origin: 'http://localhost@evil.test' }],
  ['two at once', { origin: 'http://localhost http://evil.test' }],
  ['a page in a sandbox, or a file', { origin: 'null', 'sec-fetch-site': 'cross-site' }],
  ['an extension', { origin: 'chrome-extension://localhost' }],
  ['nothing said', {}],
  ['an empty one', { origin: '' }],
  [
    'what says that it is ours elsewhere',
    { referer: 'http://localhost/', 'sec-fetch-site': 'same-origin' },
  ],
  ['a host that is none', { origin: 'http://localhost', host: 'evil.test' }],
  ['a host with more behind', { origin: 'http://localhost', host: 'localhost@evil.test' }],
  ['a forwarded host', { origin: 'https://evil.test', 'x-forwarded-host': 'evil.test' }],
];

describe.each(foreign)('a page of somebody else, by %s', (_what, headers) => {
  test('changes nothing with the cookie that its visitor has', async () => {
    const { cookie } = await house.pair();
    for (const [method, path, url] of asks) {
      if (isPublic(path) || method === 'GET' || method === 'HEAD') continue;
      expectShut(await call(method, url, { ...headers, cookie }), 403, `${method} ${url}`);
    }
    const seen = await call('GET', '/api/tubs', { ...headers, cookie });
    expect(seen.statusCode).toBe(200); // which the page cannot read
    expect(seen.headers).not.toHaveProperty('access-control-allow-origin');
    expect(seen.headers['cross-origin-resource-policy']).toBe('same-origin');
  });

  test('opens no socket with it', async () => {
    const { cookie } = await house.pair();
    const extraHeaders = { cookie, ...headers };
    for (const transport of ['websocket', 'polling'] as const) {
      // a browser tells the origin of a socket’s page always
      const refused = await refusal({ transports: [transport], extraHeaders });
      expect(refused).toMatchObject({ code: 'SUNSTEEP_NOT_ALLOWED', status: 403 });
    }
  });
});

test('a name that an attacker points at us is a stranger’s, since browsers keep cookies by name', async () => {
  for (const [method, path, url] of asks) {
    if (isPublic(path)) continue;
    const rebound = {
      host: 'evil.test',
      origin: 'http://evil.test',
      'sec-fetch-site': 'same-origin',
    };
    expectShut(await call(method, url, rebound), 401, url);
  }
  expect(
    await refusal({ extraHeaders: { origin: 'http://evil.test', host: 'evil.test' } }),
  ).toMatchObject({
    status: 401,
  });
});

const client = (options: Parameters<typeof io>[1]): Socket => {
  const opened = io(house.url, { reconnection: false, forceNew: true, ...options });
  clients.push(opened);
  return opened;
};
const refusal = (options: Parameters<typeof io>[1]) =>
  new Promise<unknown>((resolve, reject) => {
    const one = client(options);
    one.once('connect', () => reject(new Error('let in')));
    one.once('connect_error', (error) => resolve((error as { data?: unknown }).data));
  });
const opened = (one: Socket) =>
  new Promise<void>((resolve, reject) => {
    one.once('connect', resolve);
    one.once('connect_error', reject);
  });

describe('the socket', () => {
  const asPage = (cookie: string) => ({
    transports: ['websocket'],
    extraHeaders: { cookie, origin: house.url },
  });

  test('tells nothing before who it is has been said, whatever is sent', async () => {
    const polling = `${house.url}/socket.io/?EIO=4&transport=polling`;
    const packets = [
      '42["watch",{"tub":"kowhai"}]', // an event before any namespace was joined
      '40/admin,',
      '40{"token":{"toString":1}}',
      '40{"__proto__":{"access":{"right":"full","tubs":null}}}',
      '9'.repeat(9_000),
    ];
    for (const packet of packets) {
      const opening = await (await fetch(polling)).text();
      const session = `${polling}&sid=${JSON.parse(opening.slice(1)).sid}`;
      const headers = { 'content-type': 'text/plain' };
      const sent = await fetch(session, { method: 'POST', body: packet, headers });
      const answers = opening + (await sent.text()) + (await (await fetch(session)).text());
      expect(answers, packet).not.toMatch(/kowhai|values|"sid":"[^"]+","pid"/);
    }
  });

  test('lets in neither who has no right, nor a removed phone, nor one whose right has ended', async () => {
    const removed = await house.pair();
    const ended = await house.pair({ until: house.clock.now() + 60_000 });
    const [one, other] = [client(asPage(removed.cookie)), client(asPage(ended.cookie))];
    await Promise.all([opened(one), opened(other)]);
    const out = Promise.all(
      [one, other].map((each) => new Promise((resolve) => each.once('disconnect', resolve))),
    );
    await call('DELETE', `/api/phones/${removed.id}`, asScript);
    house.clock.ahead = 60_000;
    await out;
    for (const { cookie } of [removed, ended]) {
      expect(await refusal(asPage(cookie))).toMatchObject({ code: 'SUNSTEEP_NOT_PAIRED' });
    }
    house.clock.ahead = 0;
  });

  test('answers a viewer’s watch within the right, and knows no other event', async () => {
    const { cookie } = await house.pair({ right: 'viewer', tubs: ['lower'] });
    const one = client(asPage(cookie));
    await opened(one);
    const ask = (event: string, ...sent: unknown[]) => one.timeout(300).emitWithAck(event, ...sent);
    expect(await ask('watch', { tub: 'lower' })).toMatchObject({ tub: 'lower' });
    const refused = await ask('watch', { tub: 'kowhai' });
    expect(refused).toEqual({ problem: 'This phone may not see that tub.' });
    for (const tub of ['nowhere', '__proto__', 'constructor', '', '../kowhai', 'tub/kowhai']) {
      expect(await ask('watch', { tub })).toEqual(refused);
    }
    const unheard = ['acknowledge', 'setup', 'join', 'disconnecting', '__proto__'];
    for (const answer of await Promise.allSettled(unheard.map((event) => ask(event, {})))) {
      expect(answer.status).toBe('rejected');
    }
    expect(one.connected).toBe(true);
  });
});
