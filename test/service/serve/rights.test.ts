import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { asPage, asScript, type House, openHouse, T0, viewer } from './house.ts';
import { alert, kowhai, lower, subscription } from './samples.ts';

let house: House;
beforeAll(async () => {
  house = await openHouse();
});
afterAll(() => house.close());

type Headers = Record<string, string>;

/**
 * Every route but the public ones, with what a call that works sends and what it then answers; `script`:
 * where that is a phone's alone. Those who have no right to any are in `hostile/every-way-in`.
 */
const routes: {
  ask: string;
  payload?: object;
  good: number;
  viewer: number;
  some?: number;
  script?: number;
}[] = [
  { ask: 'GET /api/tubs', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/now', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/days', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/days/2026-03-01', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/months', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/months/2026-03/sheet', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/readings', good: 200, viewer: 200 },
  // the store of these tests knows no set-up, without which nothing is handed over
  { ask: 'GET /api/tubs/kowhai/handover?from=2026-03-01&to=2026-03-01', good: 404, viewer: 403 },
  { ask: 'GET /api/tubs/kowhai/learned', good: 200, viewer: 200 },
  { ask: 'GET /api/tubs/kowhai/evening', good: 200, viewer: 200 },
  {
    ask: 'GET /api/tubs/kowhai/nights?from=2026-03-01T00:00:00Z&to=2026-03-02T00:00:00Z',
    good: 200,
    viewer: 200,
  },
  { ask: 'GET /api/tubs/kowhai/log', good: 200, viewer: 200 },
  {
    ask: 'POST /api/tubs/kowhai/log',
    payload: { kind: 'remark', from: '2026-03-01T02:00:00Z' },
    good: 201,
    viewer: 403,
  },
  { ask: 'DELETE /api/tubs/kowhai/log/none', good: 404, viewer: 403 },
  { ask: 'GET /api/tubs/kowhai/alerts', good: 200, viewer: 200 },
  {
    ask: `POST /api/tubs/kowhai/alerts/${alert.id}/acknowledge`,
    good: 200,
    viewer: 403,
  },
  {
    ask: `POST /api/tubs/kowhai/alerts/${alert.id}/shelve`,
    payload: { until: '2026-03-02T00:00:00Z' },
    good: 200,
    viewer: 403,
  },
  {
    ask: `POST /api/tubs/kowhai/alerts/${alert.id}/not-a-fault`,
    payload: { why: 'we had it off' },
    good: 200,
    viewer: 403,
  },
  { ask: 'GET /api/openapi.json', good: 200, viewer: 200 },
  { ask: 'GET /api/setup', good: 200, viewer: 403 },
  {
    ask: 'PUT /api/setup?preview=true',
    payload: { tubs: [kowhai] },
    good: 200,
    viewer: 403,
    some: 403,
  },
  { ask: 'GET /api/unreadable', good: 200, viewer: 403 },
  { ask: 'POST /api/listen', payload: { minutes: 1 }, good: 200, viewer: 403, some: 403 },
  { ask: 'GET /api/listen', good: 200, viewer: 403, some: 403 },
  { ask: 'GET /api/connect', good: 200, viewer: 403, some: 403 },
  { ask: 'GET /api/disk', good: 200, viewer: 403, some: 403 },
  { ask: 'GET /api/phones', good: 200, viewer: 403 },
  { ask: 'POST /api/phones', payload: { right: 'viewer' }, good: 201, viewer: 403 },
  { ask: 'PUT /api/phones/none', payload: { name: 'x' }, good: 404, viewer: 403 },
  { ask: 'DELETE /api/phones/none', good: 404, viewer: 403 },
  { ask: 'DELETE /api/tubs/kowhai', good: 409, viewer: 403 },
  { ask: 'GET /api/telling', good: 200, viewer: 403 },
  { ask: 'GET /api/telling/push', good: 200, viewer: 200 },
  { ask: 'PUT /api/telling/push', payload: { subscription }, good: 200, viewer: 200, script: 400 },
  { ask: 'DELETE /api/telling/push', good: 204, viewer: 204, script: 400 },
  {
    ask: 'POST /api/telling/test',
    payload: { channel: 'push' },
    good: 200,
    viewer: 403,
    script: 400,
  },
];
const publicRoutes = ['GET /health', 'POST /api/pair'];

function call(ask: string, headers: Headers, payload?: object) {
  const [method, url] = ask.split(' ') as ['GET' | 'PUT' | 'POST' | 'DELETE', string];
  return house.app.inject({ method, url, headers, ...(payload && { payload }) });
}

async function expectProblem(answer: ReturnType<typeof call>, status: number, code: string) {
  const { statusCode, headers, json } = await answer;
  expect(statusCode).toBe(status);
  expect(headers['content-type']).toContain('application/problem+json');
  expect(json()).toMatchObject({ status, code });
}

test('the table of these tests holds every route that there is', async () => {
  const { paths } = (await call('GET /api/openapi.json', asScript)).json();
  const described = Object.entries<object>(paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`),
  );
  const asked = [...routes.map(({ ask }) => ask), ...publicRoutes].map((ask) =>
    ask
      .replace(/\?.*/, '')
      .replace('/kowhai', '/{tub}')
      .replace('/2026-03-01', '/{date}')
      .replace('/2026-03/', '/{month}/')
      .replace(/\/(none|pump-not-running-[^/]*)/, '/{id}'),
  );
  expect(described.sort()).toEqual(asked.sort());
});

describe.each(routes)('$ask', (route) => {
  const { ask, payload, good, viewer: viewerGets, some = good, script = good } = route;

  test('works for the token and for a phone with the full right', async () => {
    expect((await call(ask, asScript, payload)).statusCode).toBe(script);
    const { cookie } = await house.pair();
    expect((await call(ask, asPage(cookie), payload)).statusCode).toBe(good);
  });

  test('gives a viewer what viewers may see', async () => {
    const { cookie } = await house.pair(viewer);
    const answer = await call(ask, asPage(cookie), payload);
    expect(answer.statusCode).toBe(viewerGets);
    if (viewerGets === 403) expect(answer.json().code).toBe('SUNSTEEP_NOT_ALLOWED');
  });

  test('reaches no further than the tubs of a right', async () => {
    const own = await house.pair({ tubs: ['kowhai'] });
    const sent = await call(ask, asPage(own.cookie), payload);
    expect(sent.statusCode).toBe(ask.startsWith('PUT') ? good : some);
    if (ask.includes('kowhai')) {
      const others = await house.pair({ tubs: ['lower'] });
      await expectProblem(call(ask, asPage(others.cookie), payload), 403, 'SUNSTEEP_NOT_ALLOWED');
    }
  });
});

test('who may not come in has no word of the body read', async () => {
  const huge = { tubs: [], filler: 'x'.repeat(2_000_000) };
  await expectProblem(call('PUT /api/setup', {}, huge), 401, 'SUNSTEEP_NOT_PAIRED');
  const { cookie } = await house.pair(viewer);
  await expectProblem(call('PUT /api/setup', asPage(cookie), huge), 403, 'SUNSTEEP_NOT_ALLOWED');
  await expectProblem(call('PUT /api/setup', asScript, huge), 413, 'SUNSTEEP_TOO_LARGE');
});

test('addresses that do not exist, cannot be read or are disguised are shut to strangers too', async () => {
  const long = `/api/tubs/${'k'.repeat(3000)}/now`;
  for (const url of [
    '/api',
    '/api/',
    '/api/nothing',
    '/api/%zz',
    '/%61pi/tubs',
    '/api/pair',
    long,
  ]) {
    await expectProblem(call(`GET ${url}`, { accept: 'text/html' }), 401, 'SUNSTEEP_NOT_PAIRED');
  }
  const { cookie } = await house.pair(viewer);
  for (const ask of ['GET /api/nothing', 'POST /api/tubs', 'GET /api', `GET ${long}`]) {
    await expectProblem(call(ask, asPage(cookie), undefined), 404, 'SUNSTEEP_NOT_FOUND');
  }
});

test('a right for some tubs tells neither which others there are nor which are not', async () => {
  const { cookie } = await house.pair({ ...viewer, tubs: ['lower'] });
  const list = await call('GET /api/tubs', asPage(cookie));
  expect(list.json().items.map(({ id }: { id: string }) => id)).toEqual(['lower']);
  const existing = await call('GET /api/tubs/kowhai/now', asPage(cookie));
  const missing = await call('GET /api/tubs/nowhere/now', asPage(cookie));
  expect(existing.statusCode).toBe(403);
  expect(missing.body).toBe(existing.body);
});

test('the address that phones are told counts as ours behind a proxy', async () => {
  const settings = { ...house.parts.settings, url: 'https://tub.example' };
  const behind = await openHouse({ settings });
  const { cookie } = await behind.pair();
  const ask = (origin: string) =>
    behind.app.inject({
      method: 'POST',
      url: '/api/phones',
      payload: { right: 'viewer' },
      headers: { cookie, origin, host: '10.0.0.2:8080' },
    });
  expect((await ask('https://tub.example')).statusCode).toBe(201);
  expect((await ask('http://10.0.0.2:8080')).statusCode).toBe(201);
  expect((await ask('https://tub.example.evil.test')).statusCode).toBe(403);
  expect((await ask('https://10.0.0.2')).statusCode).toBe(403);
  await behind.close();
});

test('a phone in use is noted as seen, but not at every call', async () => {
  const { id, cookie } = await house.pair();
  const seenAt = async () => (await house.store.phones()).find((phone) => phone.id === id)?.seenAt;
  expect(await seenAt()).toBeNull();
  await call('GET /api/tubs', asPage(cookie));
  expect(await seenAt()).toBe(T0);
  house.clock.t = T0 + 60_000;
  await call('GET /api/tubs', asPage(cookie));
  expect(await seenAt()).toBe(T0);
  house.clock.t = T0 + 600_000;
  await call('GET /api/tubs', asPage(cookie));
  expect(await seenAt()).toBe(T0 + 600_000);
  house.clock.t = T0;
});

test('the tubs of the set-up are untouched by these tests', () => {
  expect(house.watching.setup().setup.tubs).toEqual([kowhai, lower]);
});
