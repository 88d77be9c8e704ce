import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { request as httpRequest } from 'node:http';
import { request as httpsRequest } from 'node:https';
import { type AddressInfo, connect } from 'node:net';
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { listen } from '../../../collector-service/serve/listening.ts';
import { readSettings } from '../../../collector-service/settings.ts';
import { asScript, type House, openHouse } from './house.ts';

let house: House;
beforeAll(async () => {
  house = await openHouse();
});
afterAll(() => house.close());

const page = { accept: 'text/html,application/xhtml+xml' };
const get = (url: string, headers: Record<string, string> = {}) =>
  house.app.inject({ url, headers });

test('every failure is a problem document that says what and why', async () => {
  const put = (headers: Record<string, string>, payload: string) =>
    house.app.inject({
      method: 'PUT',
      url: '/api/setup',
      headers: { ...asScript, ...headers },
      payload,
    });
  const json = { 'content-type': 'application/json' };
  const answers: [status: number, code: string, answer: Awaited<ReturnType<typeof get>>][] = [
    [404, 'SUNSTEEP_NOT_FOUND', await get('/nothing')],
    [404, 'SUNSTEEP_NOT_FOUND', await get('/api/nothing', asScript)],
    [400, 'SUNSTEEP_CALL_INVALID', await get('/%zz')],
    [400, 'SUNSTEEP_CALL_INVALID', await get('/api/%zz', asScript)],
    [400, 'SUNSTEEP_CALL_INVALID', await put(json, '{"tubs":')],
    [400, 'SUNSTEEP_CALL_INVALID', await put(json, '')],
    [413, 'SUNSTEEP_TOO_LARGE', await put(json, `"${'x'.repeat(1024 * 1024)}"`)],
    [415, 'SUNSTEEP_MEDIA_UNSUPPORTED', await put({ 'content-type': 'application/xml' }, '<a/>')],
    [415, 'SUNSTEEP_MEDIA_UNSUPPORTED', await put({ 'content-type': 'text/html' }, 'a')],
    [415, 'SUNSTEEP_MEDIA_UNSUPPORTED', await put({ 'content-type': 'text/plain' }, '{"tubs":[]}')],
  ];
  for (const [status, code, answer] of answers) {
    expect(answer.statusCode).toBe(status);
    expect(answer.headers['content-type']).toContain('application/problem+json');
    const problem = answer.json();
    expect(problem).toMatchObject({ status, code });
    expect(problem.type).toMatch(/^urn:sunsteep:error:/);
    expect(problem.title.length).toBeGreaterThan(3);
    expect(problem.detail.length).toBeGreaterThan(10);
  }
});

test('a fault of our own is logged, and tells a caller nothing of the inside', async () => {
  house.watching.breaks = true;
  const answer = await get('/api/tubs/kowhai/now', asScript);
  house.watching.breaks = false;
  expect(answer.statusCode).toBe(500);
  expect(answer.json()).toMatchObject({ code: 'SUNSTEEP_FAILED', status: 500 });
  expect(answer.body).not.toContain('inner text');
  expect(house.logged.join('')).toContain('inner text');
});

test('the pages are told to browsers as safe, and nothing binds them to HTTPS on plain HTTP', async () => {
  for (const url of ['/', '/health', '/api/tubs', '/nothing']) {
    const { headers } = await get(url, asScript);
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'self'");
    expect(policy).toContain("connect-src 'self' ws: wss:");
    expect(policy).toContain("img-src 'self' data:");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|upgrade-insecure-requests/);
    expect(headers['strict-transport-security']).toBeUndefined();
    expect(headers['x-content-type-options']).toBe('nosniff');
  }
});

test('a household’s figures stay out of caches', async () => {
  for (const url of ['/api/tubs', '/api/nothing', '/health']) {
    expect((await get(url, asScript)).headers['cache-control']).toBe('no-store');
  }
});

test('named assets are kept for good, the page itself is asked for anew', async () => {
  const asset = await get('/assets/main-Ab12.js');
  expect(asset.headers['content-type']).toMatch(/javascript/);
  expect(asset.headers['cache-control']).toBe('public, max-age=31536000, immutable');
  const index = await get('/', page);
  expect(index.body).toContain('<title>Sunsteep</title>');
  expect(index.headers['cache-control']).toBe('no-cache');
  const tag = { 'if-none-match': String(index.headers.etag) };
  expect((await get('/', tag)).statusCode).toBe(304);
});

test('every address of a page gives the page', async () => {
  for (const url of ['/day/2026-03-01', '/pair', '/traces?points=a,b', '/setup/', '/apiary']) {
    const answer = await get(url, page);
    expect(answer.statusCode).toBe(200);
    expect(answer.headers['content-type']).toContain('text/html');
    expect(answer.headers['cache-control']).toBe('no-cache');
    expect(answer.body).toContain('<title>Sunsteep</title>');
  }
  expect((await get('/day/2026-03-01', { accept: '*/*' })).statusCode).toBe(404);
  const posted = await house.app.inject({ method: 'POST', url: '/pair', headers: page });
  expect(posted.statusCode).toBe(404);
  expect((await get('/api/nothing', { ...page, ...asScript })).statusCode).toBe(404);
});

test('no address climbs out of the folder of the pages', async () => {
  for (const url of [
    '/../outside.html',
    '/..%2foutside.html',
    '/%2e%2e/outside.html',
    '/%2e%2e%2foutside.html',
    '/assets/..%2f..%2foutside.html',
    '/assets/%2e%2e/%2e%2e/outside.html',
    '/..\\outside.html',
    '/..%5coutside.html',
    '//outside.html',
    '/assets//../../outside.html',
    '/outside.html%00.js',
    '/.env',
  ]) {
    for (const headers of [page, {}]) {
      const answer = await raw(url, headers);
      expect(answer.body).not.toContain('outside');
      expect([400, 404]).toContain(answer.status);
    }
  }
});

/** A request whose path goes out just as it is written. */
async function raw(path: string, headers: Record<string, string>) {
  if (!house.app.server.listening) await house.app.listen({ host: '127.0.0.1', port: 0 });
  const { port } = house.app.server.address() as AddressInfo;
  const sent = httpRequest({ host: '127.0.0.1', port, path, headers }).end();
  const [answer] = await once(sent, 'response');
  const chunks: Buffer[] = await answer.toArray();
  return { status: answer.statusCode as number, body: Buffer.concat(chunks).toString() };
}

test('long answers go packed to whoever can unpack them', async () => {
  const plain = (await get('/assets/main-Ab12.js')).rawPayload;
  expect(plain.length).toBeGreaterThan(5000);
  for (const [coding, unpack] of [
    ['br', brotliDecompressSync],
    ['gzip', gunzipSync],
  ] as const) {
    const answer = await get('/assets/main-Ab12.js', { 'accept-encoding': coding });
    expect(answer.headers['content-encoding']).toBe(coding);
    expect(answer.rawPayload.length).toBeLessThan(1000);
    expect(unpack(answer.rawPayload)).toEqual(plain);
    const api = await get('/api/openapi.json', { ...asScript, 'accept-encoding': coding });
    expect(api.headers['content-encoding']).toBe(coding);
  }
});

test('what is no HTTP is answered with a problem document too', async () => {
  await raw('/health', {});
  const { port } = house.app.server.address() as AddressInfo;
  for (const [bytes, status] of [
    ['NONSENSE\r\n\r\n', 400],
    [`GET / HTTP/1.1\r\nHost: a\r\nX-Long: ${'x'.repeat(20_000)}\r\n\r\n`, 431],
  ] as const) {
    const socket = connect(port, '127.0.0.1');
    socket.end(bytes);
    const answer = Buffer.concat(await socket.toArray()).toString();
    expect(answer).toMatch(new RegExp(`^HTTP/1.1 ${status} `));
    expect(answer).toContain('application/problem+json');
    expect(JSON.parse(answer.split('\r\n\r\n')[1]!)).toMatchObject({ status });
  }
});

test('with certificate and key it speaks HTTPS, and says so', async () => {
  const pem = (name: string) => readFileSync(new URL(`tls/${name}.pem`, import.meta.url), 'utf8');
  const tls = { cert: pem('cert'), key: pem('key') };
  const safe = await openHouse({ settings: { ...house.parts.settings, tls } });
  await safe.app.listen({ host: '127.0.0.1', port: 0 });
  const { port } = safe.app.server.address() as AddressInfo;
  const sent = httpsRequest({ host: 'localhost', port, path: '/health', ca: tls.cert }).end();
  const [answer] = await once(sent, 'response');
  answer.resume();
  expect(answer.statusCode).toBe(200);
  expect(answer.headers['strict-transport-security']).toMatch(/^max-age=\d+$/);
  await safe.close();
});

test('a port that is taken is told with what to set', async () => {
  await raw('/health', {});
  const { port } = house.app.server.address() as AddressInfo;
  const settings = readSettings({ SUNSTEEP_HOST: '127.0.0.1', SUNSTEEP_PORT: String(port) });
  const second = await openHouse();
  await expect(listen(second.app, settings)).rejects.toMatchObject({
    code: 'SUNSTEEP_PORT_TAKEN',
    message: expect.stringMatching(new RegExp(`SUNSTEEP_PORT ${port} .*another program`)),
  });
  await second.close();
  const third = await openHouse();
  const free = await listen(third.app, { ...settings, host: 'localhost', port: 0 });
  expect(free).toBeGreaterThan(0);
  expect((await fetch(`http://127.0.0.1:${free}/health`)).status).toBe(200);
  await third.close();
});

test('without built pages the API serves all the same', async () => {
  const bare = await openHouse({ webFolder: '/nowhere/web' });
  expect((await bare.app.inject({ url: '/api/tubs', headers: asScript })).statusCode).toBe(200);
  expect((await bare.app.inject({ url: '/', headers: page })).statusCode).toBe(404);
  await bare.close();
});
