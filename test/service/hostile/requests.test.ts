import { connect, type Socket } from 'node:net';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Running, runService, TOKEN } from './service.ts';

/** Requests as no browser writes them: on a bare connection, byte by byte. */

let house: Running;
beforeAll(async () => {
  house = await runService();
});
afterAll(() => house.close());

const request = (start: string, headers: Record<string, string> = {}, body = '') =>
  [
    `${start} HTTP/1.1`,
    ...Object.entries({ Host: 'localhost', Connection: 'close', ...headers }).map(
      ([name, value]) => `${name}: ${value}`,
    ),
    '',
    body,
  ].join('\r\n');

const bearer = { Authorization: `Bearer ${TOKEN}` };
const statusOf = (answer: string) => Number(/^HTTP\/1\.1 (\d{3})/.exec(answer)?.[1]);

/** What a stranger may be answered whatever they ask: a refusal, and nothing of the house. */
async function expectRefused(bytes: string | Uint8Array, what: string) {
  const answer = await house.raw(bytes);
  expect(statusOf(answer), what).toBeGreaterThanOrEqual(400);
  expect(statusOf(answer), what).toBeLessThan(500);
  expect(answer, what).not.toMatch(/kowhai|for-the-boards|\/work\/|node_modules|at Object/i);
  return answer;
}

test('no way of writing an address leads around the guard, nor to a file that is not the page’s', async () => {
  const paths = [
    '/api/tubs',
    '//api/tubs',
    '/api//tubs',
    '/api/./tubs',
    '/x/../api/tubs',
    '/health/../api/tubs',
    '/health/..%2fapi/tubs',
    '/%61pi/tubs',
    '/api%2ftubs',
    '/api/tubs/',
    '/api/tubs%00',
    '/api/tubs;a=b',
    '/api/tubs?x=/health',
    '/api/tubs%3f',
    '/api\\tubs',
    '/API/TUBS',
    '/api/tubs/kowhai%2fnow',
    '/api/tubs/..%2f..%2fhealth',
    'http://localhost/api/tubs',
    'http://evil.test/api/tubs',
    'http://localhost/health/../api/setup',
    '/../../../../etc/passwd',
    '/assets/../../../etc/passwd',
    '/..%252f..%252fetc%252fpasswd',
    '/%c0%ae%c0%ae/etc/passwd',
    '/\\..\\..\\etc\\passwd',
    '/file:///etc/passwd',
    '/.git/config',
    '/%2e%67it/config',
    '/sunsteep.db',
    '/../sunsteep.db',
    '/data/sunsteep.db',
    '/broker-password',
    '/socket.io/../api/tubs',
    '/socket.io/%2e%2e/api/tubs',
    '/socket.io/',
    '/socket.io/?EIO=4&transport=__proto__',
    '/socket.io/?EIO=4&transport=polling&sid=__proto__',
    'x',
  ];
  for (const path of paths) {
    for (const method of ['GET', 'HEAD', 'POST', 'OPTIONS', 'TRACE', 'PROPFIND', 'BREW']) {
      await expectRefused(request(`${method} ${path}`), `${method} ${path}`);
    }
  }
  // with the right to it, only the address as it is leads there, and what a reader of RFC 3986 takes for it
  const open = [];
  for (const path of paths) {
    const answer = await house.raw(request(`GET ${path}`, bearer));
    if (statusOf(answer) === 200) open.push(path);
  }
  expect(open).toEqual([
    '/api/tubs',
    '/%61pi/tubs',
    '/api/tubs?x=/health',
    'http://localhost/api/tubs',
    'http://evil.test/api/tubs',
  ]);
});

test('ten thousand bytes of headers are read, and more than sixteen are refused', async () => {
  const long = 'x'.repeat(10_000);
  for (const name of ['X-Long', 'Cookie', 'Accept', 'User-Agent', 'If-None-Match', 'Range']) {
    expect(statusOf(await house.raw(request('GET /health', { [name]: long }))), name).toBe(200);
  }
  for (const [name, value] of [
    ['Cookie', 'sunsteep_phone=a; '.repeat(550)],
    ['Authorization', `Bearer${' '.repeat(9_900)}x y`],
    ['Accept', 'text/html,'.repeat(1_000)],
    ['Accept-Encoding', 'gzip;q=0.1,'.repeat(900)],
    ['Origin', `http://${'a.'.repeat(4_900)}test`],
    ['Host', 'a'.repeat(10_000)],
    ['Content-Type', `application/json;${'a=b;'.repeat(2_400)}`],
  ] as const) {
    await expectRefused(request('POST /api/phones', { [name]: value }, ''), name);
    const headers = { ...bearer, [name]: value };
    const own = await house.raw(request('POST /api/phones', { ...headers, 'Content-Length': '0' }));
    expect(statusOf(own), name).toBeLessThan(500);
  }
  const many = Array.from({ length: 700 }, (_, i) => [`X-${i}`, 'xxxxxxx'] as const);
  expect(statusOf(await house.raw(request('GET /health', Object.fromEntries(many))))).toBe(200);
  const answer = await expectRefused(request('GET /health', { 'X-Long': long + long }), 'twice');
  expect(statusOf(answer)).toBe(431);
});

test('a long host makes no link, and no failure of our own', async () => {
  const body = '{"right":"viewer"}';
  const headers = {
    ...bearer,
    'Content-Type': 'application/json',
    'Content-Length': String(body.length),
  };
  for (const Host of ['x'.repeat(5_000), 'a b', '<script>', 'http://evil.test', '[::1', '']) {
    const answer = await house.raw(request('POST /api/phones', { ...headers, Host }, body));
    expect([201, 400], Host.slice(0, 20)).toContain(statusOf(answer));
    if (statusOf(answer) === 201) expect(answer).not.toContain('script');
  }
});

test('what could be read as two requests, or as none, is refused', async () => {
  const smuggled = 'GET /api/tubs HTTP/1.1\r\nHost: localhost\r\n\r\n';
  for (const bytes of [
    request('POST /api/pair', { 'Content-Length': '5', 'Transfer-Encoding': 'chunked' }, smuggled),
    'POST /api/pair HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nxxxxxx',
    'POST /api/pair HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\nZ\r\nx\r\n0\r\n\r\n',
    'POST /api/pair HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\n',
    'GET /health HTTP/1.1\r\nHost : a\r\n\r\n',
    'GET /health HTTP/1.1\r\nX: a\rb\r\nHost: a\r\n\r\n',
    'GET /health HTTP/1.1\r\n\r\n',
    'GET /health HTTP/9.9\r\nHost: a\r\n\r\n',
    '\0\0\0\0\r\n\r\n',
    '\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n',
    'PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n',
  ]) {
    await expectRefused(bytes, JSON.stringify(bytes.slice(0, 60)));
  }
});

describe('a body', () => {
  const put = (headers: Record<string, string>, body: string) =>
    request('PUT /api/setup', { ...bearer, 'Content-Type': 'application/json', ...headers }, body);

  test('that says that it is giant is refused before it comes, to strangers without a word of why', async () => {
    for (const length of ['10000000000', '9007199254740993', '18446744073709551617']) {
      const known = await expectRefused(put({ 'Content-Length': length }, '{'), length);
      expect([400, 413]).toContain(statusOf(known));
      const unknown = { 'Content-Length': length, Authorization: 'Bearer x' };
      expect([400, 401]).toContain(statusOf(await house.raw(put(unknown, '{'))));
    }
  });

  test('that grows without saying so is cut off at a megabyte', async () => {
    const socket = connect(house.port, '127.0.0.1');
    const ended = answered(socket);
    socket.write(put({ 'Transfer-Encoding': 'chunked' }, ''));
    const chunk = `10000\r\n${' '.repeat(65_536)}\r\n`;
    let taken = 0;
    // each is sent once the one before has been taken over, until the connection is no more
    const sends = (): unknown =>
      socket.write(chunk, (error) => {
        if (!error && ++taken < 1_000) sends();
      });
    sends();
    const answer = await ended;
    expect(answer === '' || statusOf(answer) === 413).toBe(true); // who still writes may lose it
    expect(taken).toBeLessThan(1_000);
    expect(taken).toBeGreaterThan(10);
  });

  test('that is packed is not unpacked, however small it is', async () => {
    const bomb = gzipSync(Buffer.alloc(50_000_000, '['));
    const head = put({ 'Content-Encoding': 'gzip', 'Content-Length': String(bomb.length) }, '');
    const answer = await expectRefused(Buffer.concat([Buffer.from(head), bomb]), 'gzip');
    expect([400, 415]).toContain(statusOf(answer));
  });

  test('with names that mean something to the language is refused', async () => {
    for (const body of [
      '{"__proto__":{"tubs":[]}}',
      '{"tubs":[{"__proto__":{"id":"kowhai"}}]}',
      '{"tubs":[],"constructor":{"prototype":{"tubs":[]}}}',
      '{"tubs":[{"\\u005f_proto__":{"id":"x"}}]}',
    ]) {
      await expectRefused(put({ 'Content-Length': String(body.length) }, body), body);
    }
    expect(({} as { tubs?: unknown }).tubs).toBeUndefined();
  });

  test('in any form but JSON is refused, also where browsers would send it unasked', async () => {
    const body = '{"right":"viewer"}';
    for (const type of [
      'text/plain',
      'application/x-www-form-urlencoded',
      'multipart/form-data; boundary=x',
      'text/plain; application/json',
      'application/jsonx',
      'application/ld+json',
      '',
    ]) {
      const headers = { 'Content-Type': type, 'Content-Length': String(body.length) };
      const answer = await house.raw(request('POST /api/phones', { ...bearer, ...headers }, body));
      expect(statusOf(answer), type).toBe(415);
    }
  });
});

describe('who is slow', () => {
  /** What this file lowers is how long is waited, not how it is looked for. */
  const soon = async (work: () => Promise<void>) => {
    const { server } = house.service.app;
    const before = [server.requestTimeout, server.headersTimeout] as const;
    [server.requestTimeout, server.headersTimeout] = [300, 300];
    await work();
    [server.requestTimeout, server.headersTimeout] = before;
  };

  test('has thirty seconds for a whole request', () => {
    const { requestTimeout, keepAliveTimeout } = house.service.app.server;
    expect(requestTimeout).toBe(30_000);
    expect(keepAliveTimeout).toBeLessThanOrEqual(80_000);
  });

  test('is cut off with headers, with a body, and with nothing at all; others are served meanwhile', async () => {
    await soon(async () => {
      const json = { 'Content-Type': 'application/json' };
      const length = { ...json, 'Content-Length': '999999' };
      const chunks = { ...json, ...bearer, 'Transfer-Encoding': 'chunked' };
      // what is sent at once, and then again and again
      const slow: [first: string, more: string][] = [
        ['GET /health HTTP/1.1\r\nX-Slow: ', 'x'],
        ['GET /health HTTP/1.1\r\n', 'X-Slow: x\r\n'],
        [request('POST /api/pair', length), ' '],
        [request('PUT /api/setup', chunks), '1\r\n \r\n'],
        ['', ''],
      ];
      const ends = slow.map(([first, more]) => {
        const socket = connect(house.port, '127.0.0.1');
        if (first) socket.write(first);
        const timer = setInterval(() => more && socket.write(more, () => {}), 50);
        return answered(socket).finally(() => clearInterval(timer));
      });
      expect((await fetch(`${house.url}/health`)).status).toBe(200);
      for (const answer of await Promise.all(ends)) {
        expect(answer === '' || statusOf(answer) === 408, answer.slice(0, 80)).toBe(true);
      }
    });
  });

  test('and asks for an upgrade that there is not, is let go', async () => {
    const headers = { Connection: 'Upgrade', Upgrade: 'websocket' };
    const answers = await Promise.all(
      ['/api/tubs', '/', '/health', '/socket.io/?EIO=4&transport=x'].map((path) =>
        house.raw(request(`GET ${path}`, headers)),
      ),
    );
    for (const answer of answers) expect(answer).not.toMatch(/^HTTP\/1\.1 101|kowhai/);
  });
});

async function answered(socket: Socket): Promise<string> {
  const pieces: Buffer[] = [];
  socket.on('error', () => {}); // cut off while it wrote
  socket.on('data', (piece) => pieces.push(piece));
  await new Promise((resolve) => socket.on('close', resolve));
  return Buffer.concat(pieces).toString('latin1');
}
