import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { makeLink, phoneName } from '../../../collector-service/serve/pairing.ts';
import { asPage, asScript, type House, openHouse, T0, viewer } from './house.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

const hashed = (secret: string) => createHash('sha256').update(secret).digest('base64url');

const MINUTE = 60_000;
const all = { right: 'full' as const, tubs: null, until: null };

const redeem = (code: unknown, headers: Record<string, string> = {}, remoteAddress = '10.1.1.1') =>
  house.app.inject({ method: 'POST', url: '/api/pair', payload: { code }, headers, remoteAddress });

async function newCode(): Promise<string> {
  const { link } = await makeLink(house.store, house.clock, 'http://tub.test', all);
  return link.split('#')[1]!;
}

test('a link carries 128 random bits behind its #, good for ten minutes', async () => {
  const { id, link, expires } = await makeLink(house.store, house.clock, 'http://tub.test', all);
  expect(link).toMatch(/^http:\/\/tub\.test\/pair#[A-Za-z0-9_-]{22}$/);
  expect(Buffer.from(link.split('#')[1]!, 'base64url')).toHaveLength(16);
  expect(expires).toBe('2026-03-01T02:10:00.000Z');
  expect((await house.store.links()).map((one) => one.id)).toEqual([id]);
  expect(await newCode()).not.toBe(await newCode());
});

test('a code pairs one phone, once', async () => {
  const code = await newCode();
  const first = await redeem(code);
  expect(first.statusCode).toBe(200);
  expect(first.json()).toMatchObject({ right: 'full', tubs: null, until: null });
  const second = await redeem(code);
  expect(second.statusCode).toBe(403);
  expect(second.json().code).toBe('SUNSTEEP_CODE_UNKNOWN');
  expect(second.headers['set-cookie']).toBeUndefined();
  expect(await house.store.phones()).toHaveLength(1);
});

test('a code is good until its ten minutes are over', async () => {
  const [early, late] = [await newCode(), await newCode()];
  house.clock.t = T0 + 10 * MINUTE - 1;
  expect((await redeem(early)).statusCode).toBe(200);
  house.clock.t = T0 + 10 * MINUTE;
  expect((await redeem(late)).statusCode).toBe(403);
});

test('a code whose right has ended meanwhile pairs nobody', async () => {
  const until = T0 + MINUTE;
  const { link } = await makeLink(house.store, house.clock, 'http://t', { ...all, until });
  house.clock.t = until;
  expect((await redeem(link.split('#')[1])).statusCode).toBe(403);
});

test('an address has ten tries a minute, right or wrong, and the body of more is not read', async () => {
  for (let i = 0; i < 10; i++) expect((await redeem(`guess-${i}`)).statusCode).toBe(403);
  const code = await newCode();
  const eleventh = await redeem(code);
  expect(eleventh.statusCode).toBe(429);
  expect(eleventh.json().code).toBe('SUNSTEEP_TOO_MANY');
  expect(Number(eleventh.headers['retry-after'])).toBeGreaterThan(0);
  expect((await redeem({ not: 'read' })).statusCode).toBe(429);

  expect((await redeem('guess', {}, '10.1.1.2')).statusCode).toBe(403);
  house.clock.t = T0 + MINUTE;
  expect((await redeem(code)).statusCode).toBe(200);
});

test('a body without a code is refused with the place', async () => {
  for (const [code, path] of [
    [undefined, '/code'],
    [17, '/code'],
    ['x'.repeat(201), '/code'],
  ] as const) {
    const answer = await redeem(code);
    expect(answer.statusCode).toBe(400);
    expect(answer.json()).toMatchObject({ code: 'SUNSTEEP_CALL_INVALID', faults: [{ path }] });
  }
});

test('a foreign page cannot pair the phone that shows it', async () => {
  const answer = await redeem(await newCode(), { origin: 'https://evil.test' });
  expect(answer.statusCode).toBe(403);
  expect(answer.json().detail).toContain('SUNSTEEP_URL');
});

test('the cookie is out of reach of scripts and of other sites, and lasts a year', async () => {
  const header = String((await redeem(await newCode())).headers['set-cookie']);
  expect(header).toMatch(/^sunsteep_phone=[A-Za-z0-9_-]{43};/);
  expect(header).toMatch(/; HttpOnly/);
  expect(header).toMatch(/; SameSite=Lax/);
  expect(header).toMatch(/; Path=\//);
  expect(header).toMatch(`; Max-Age=${365 * 24 * 3600}`);
  expect(header).not.toMatch(/Secure/);
});

test('the cookie of a right that ends sooner lasts as long as the right', async () => {
  const rights = { ...all, until: T0 + 90 * MINUTE };
  const { link } = await makeLink(house.store, house.clock, 'http://t', rights);
  const answer = await redeem(link.split('#')[1]);
  expect(String(answer.headers['set-cookie'])).toMatch(`; Max-Age=${90 * 60}`);
  expect(answer.json().until).toBe('2026-03-01T03:30:00.000Z');
});

test('the cookie is Secure where the phone speaks HTTPS', async () => {
  const url = 'https://tub.example';
  const behind = await openHouse({ settings: { ...house.parts.settings, url } });
  const secure = async (headers: Record<string, string>) => {
    const { link } = await makeLink(behind.store, behind.clock, url, all);
    const payload = { code: link.split('#')[1] };
    const answer = await behind.app.inject({ method: 'POST', url: '/api/pair', payload, headers });
    return /; Secure/.test(String(answer.headers['set-cookie']));
  };
  expect(await secure({ origin: url })).toBe(true);
  expect(await secure({})).toBe(true);
  // at home, past the proxy: a Secure cookie would be thrown away
  expect(await secure({ origin: 'http://10.0.0.2:8080', host: '10.0.0.2:8080' })).toBe(false);
  await behind.close();
});

test('the store holds hashes alone, and the log neither code nor cookie', async () => {
  const code = await newCode();
  const cookie = String((await redeem(code)).headers['set-cookie']).split(/[=;]/)[1]!;
  await house.app.inject({ url: '/api/tubs', headers: asPage(`sunsteep_phone=${cookie}`) });
  house.parts.log!.info({
    headers: { cookie, authorization: cookie },
    body: { code },
    code,
    cookie,
  });
  house.parts.log!.info({ req: { headers: { cookie }, body: { code } }, link: code });
  expect(await house.store.takeLink(hashed(code), T0)).toBeNull(); // it was kept under its hash, and is used up
  const known = await house.store.phoneByCookie(hashed(cookie));
  expect(known?.right).toBe('full');
  const folder = dirname(house.parts.webFolder);
  const files = readdirSync(folder).filter((name) => statSync(join(folder, name)).isFile());
  const onDisk = files.map((name) => readFileSync(join(folder, name), 'latin1')).join('');
  expect(onDisk).toContain(hashed(cookie));
  expect(onDisk).not.toContain(code);
  expect(onDisk).not.toContain(cookie);
  const log = house.logged.join('');
  expect(log).toContain('/api/tubs');
  expect(log).not.toContain(code);
  expect(log).not.toContain(cookie);
});

test('phones get a name in plain words', () => {
  const names: [string | undefined, string][] = [
    ['Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) Mobile/15E148', 'iPhone'],
    ['Mozilla/5.0 (iPad; CPU OS 19_0 like Mac OS X) Mobile/15E148', 'iPad'],
    ['Mozilla/5.0 (Linux; Android 16; K) AppleWebKit/537.36 Mobile Safari/537.36', 'Android phone'],
    ['Mozilla/5.0 (Linux; Android 16; K) AppleWebKit/537.36 Safari/537.36', 'Android tablet'],
    ['Mozilla/5.0 (X11; Linux x86_64; rv:150.0) Gecko/20100101', 'computer'],
    ['Mozilla/5.0 (Windows NT 10.0; Win64; x64)', 'computer'],
    ['curl/8.5.0', 'device'],
    [undefined, 'device'],
  ];
  for (const [agent, name] of names) expect(phoneName(agent)).toBe(name);
});

test('the list shows phones and unused links, and which phone asks', async () => {
  const phone = await house.pair({ ...viewer, tubs: ['kowhai'] });
  const own = await house.pair();
  const made = await house.app.inject({
    method: 'POST',
    url: '/api/phones',
    payload: { right: 'viewer', tubs: ['lower'], until: '2026-03-08T00:00:00+13:00' },
    headers: asPage(own.cookie),
  });
  expect(made.statusCode).toBe(201);
  const { id, link, expires } = made.json();
  expect(link).toMatch(/^http:\/\/localhost\/pair#[A-Za-z0-9_-]{22}$/);
  const list = await house.app.inject({ url: '/api/phones', headers: asPage(own.cookie) });
  const { items, next } = list.json();
  expect(next).toBeNull();
  expect(items.find((one: { id: string }) => one.id === phone.id)).toMatchObject({
    kind: 'phone',
    right: 'viewer',
    tubs: ['kowhai'],
    you: false,
  });
  expect(items.find((one: { id: string }) => one.id === own.id)).toMatchObject({ you: true });
  expect(items.find((one: { id: string }) => one.id === id)).toEqual({
    id,
    kind: 'link',
    right: 'viewer',
    tubs: ['lower'],
    until: '2026-03-07T11:00:00.000Z',
    expires,
  });
  expect(list.body).not.toContain(link.split('#')[1]);
});

test('an unused link can be taken back', async () => {
  const made = await house.app.inject({
    method: 'POST',
    url: '/api/phones',
    payload: { right: 'full' },
    headers: asScript,
  });
  const { id, link } = made.json();
  const url = `/api/phones/${id}`;
  const taken = await house.app.inject({ method: 'DELETE', url, headers: asScript });
  expect(taken.statusCode).toBe(204);
  expect((await redeem(link.split('#')[1])).statusCode).toBe(403);
  const again = await house.app.inject({ method: 'DELETE', url, headers: asScript });
  expect(again.statusCode).toBe(404);
});

test('a last date lasts to the end of that day at the tub', async () => {
  const ask = (until: unknown) =>
    house.app.inject({
      method: 'POST',
      url: '/api/phones',
      payload: { right: 'viewer', until },
      headers: asScript,
    });
  expect((await ask('2026-03-07')).statusCode).toBe(201);
  const [link] = await house.store.links();
  // midnight after 7 March in Auckland, which is 13 hours ahead in its summer
  expect(new Date(link!.until!).toISOString()).toBe('2026-03-07T11:00:00.000Z');
  for (const wrong of ['2026-02-28', '2026-02-30', 'tomorrow', '2026-03-01T02:00:00Z']) {
    const answer = await ask(wrong);
    expect(answer.statusCode).toBe(400);
    expect(answer.json().faults[0].path).toBe('/until');
  }
});

test('nobody gives away more than they have', async () => {
  const until = T0 + 60 * MINUTE;
  const { cookie } = await house.pair({ tubs: ['kowhai'], until });
  const ask = (payload: object) =>
    house.app.inject({ method: 'POST', url: '/api/phones', payload, headers: asPage(cookie) });
  expect((await ask({ right: 'full', tubs: ['lower'] })).statusCode).toBe(403);
  expect((await ask({ right: 'full', tubs: ['kowhai', 'lower'] })).statusCode).toBe(403);
  expect((await ask({ right: 'full', until: '2026-03-01T03:00:01Z' })).statusCode).toBe(403);
  expect((await ask({ right: 'full', tubs: null, until: null })).statusCode).toBe(201);
  const [link] = await house.store.links();
  expect(link).toMatchObject({ tubs: ['kowhai'], until });
});

test('a right for some tubs neither sees nor removes the phones of others', async () => {
  const owner = await house.pair();
  const other = await house.pair({ ...viewer, tubs: ['kowhai', 'lower'] });
  const sibling = await house.pair({ ...viewer, tubs: ['kowhai'] });
  const { id, cookie } = await house.pair({ tubs: ['kowhai'] });
  const list = await house.app.inject({ url: '/api/phones', headers: asPage(cookie) });
  const ids = list.json().items.map((one: { id: string }) => one.id);
  expect(ids.sort()).toEqual([sibling.id, id].sort());
  for (const [phone, status] of [
    [owner.id, 404],
    [other.id, 404],
    [sibling.id, 204],
  ] as const) {
    const url = `/api/phones/${phone}`;
    const answer = await house.app.inject({ method: 'DELETE', url, headers: asPage(cookie) });
    expect(answer.statusCode).toBe(status);
  }
});

test('a wish with what nobody knows is refused with every place', async () => {
  const answer = await house.app.inject({
    method: 'POST',
    url: '/api/phones',
    payload: { right: 'owner', tubs: ['No Tub'], colour: 'red' },
    headers: asScript,
  });
  expect(answer.statusCode).toBe(400);
  const paths = answer.json().faults.map(({ path }: { path: string }) => path);
  expect(paths.sort()).toEqual(['/colour', '/right', '/tubs/0']);
});
