import { afterEach, beforeEach, expect, test } from 'vitest';
import { receiver } from '../notify/notices.ts';
import { asPage, asScript, type House, openHouse, T0, viewer } from './house.ts';
import { kowhai, subscription } from './samples.ts';

let house: House;
beforeEach(async () => {
  house = await openHouse();
});
afterEach(() => house.close());

type Method = 'GET' | 'PUT' | 'POST' | 'DELETE';
const ask = (method: Method, path: string, headers: Record<string, string>, payload?: object) =>
  house.app.inject({ method, url: `/api/telling${path}`, headers, ...(payload && { payload }) });
const wishes = { quiet: { from: '21:30', to: '08:00' }, least: 'act', actAtNight: true };
const usual = { quiet: null, least: 'look', actAtNight: false };

test('a phone subscribes, changes its wishes and ends it, a viewer’s too', async () => {
  for (const rights of [{}, viewer]) {
    const headers = asPage((await house.pair(rights)).cookie);
    const first = (await ask('GET', '/push', headers)).json();
    expect(first).toEqual({ publicKey: house.parts.pushKey, wishes: null });
    expect(Buffer.from(first.publicKey, 'base64url')).toHaveLength(65);
    const put = await ask('PUT', '/push', headers, { subscription });
    expect(put.json()).toEqual({ publicKey: house.parts.pushKey, wishes: usual });
    await ask('PUT', '/push', headers, { subscription, wishes });
    expect((await ask('GET', '/push', headers)).json().wishes).toEqual(wishes);
    expect((await ask('DELETE', '/push', headers)).statusCode).toBe(204);
    expect((await ask('DELETE', '/push', headers)).statusCode).toBe(204);
    expect((await ask('GET', '/push', headers)).json().wishes).toBeNull();
  }
});

test('where a phone is told, and by what keys, is shown to nobody', async () => {
  const { cookie } = await house.pair();
  await ask('PUT', '/push', asPage(cookie), { subscription });
  const other = await house.pair();
  const seen = await Promise.all([
    ask('GET', '', asScript),
    ask('GET', '/push', asPage(cookie)),
    ask('GET', '/push', asPage(other.cookie)),
    house.app.inject({ url: '/api/phones', headers: asScript }),
  ]);
  const all = [...seen.map(({ body }) => body), ...house.logged].join('\n');
  expect(all).not.toMatch(/push\.invalid|BCVxsr7N|BTBZMqHH/);
  const key = JSON.parse((await house.store.note('push keys'))!).privateKey;
  expect(all).not.toContain(key);
  expect(seen[2]!.json().wishes).toBeNull();
});

test('a phone that is removed is told no more', async () => {
  const { id, cookie } = await house.pair();
  await ask('PUT', '/push', asPage(cookie), { subscription });
  expect((await ask('GET', '', asScript)).json().items[0]).toMatchObject({ recipients: 1 });
  await house.app.inject({ method: 'DELETE', url: `/api/phones/${id}`, headers: asScript });
  expect((await ask('GET', '', asScript)).json().items[0]).toMatchObject({ recipients: 0 });
});

test('what is no subscription is refused with where and why', async () => {
  const { keys, endpoint } = subscription;
  const notOnCurve = Buffer.alloc(65, 4).toString('base64url');
  const bad: [object, string][] = [
    [{ ...subscription, endpoint: 'http://push.invalid/x' }, '/subscription/endpoint'],
    [{ ...subscription, endpoint: 'file:///etc/passwd' }, '/subscription/endpoint'],
    [{ endpoint, keys: { ...keys, p256dh: notOnCurve } }, '/subscription/keys/p256dh'],
    [{ endpoint, keys: { ...keys, p256dh: 'AAAA' } }, '/subscription/keys/p256dh'],
    [{ endpoint, keys: { ...keys, auth: `${keys.auth}AAAA` } }, '/subscription/keys/auth'],
  ];
  const headers = asPage((await house.pair()).cookie);
  for (const [given, path] of bad) {
    const answer = await ask('PUT', '/push', headers, { subscription: given });
    expect(answer.statusCode).toBe(400);
    expect(answer.json().faults.map((fault: { path: string }) => fault.path)).toContain(path);
  }
  const night = { ...wishes, quiet: { from: '25:00', to: '08:00' } };
  const answer = await ask('PUT', '/push', headers, { subscription, wishes: night });
  expect(answer.json().faults[0].path).toBe('/wishes/quiet/from');
  expect(
    (await ask('PUT', '/push', headers, { subscription, wishes: { least: 'note' } })).statusCode,
  ).toBe(400);
});

test('a test goes out at once, and what came of it is told in words', async () => {
  const test = async (channel: string, headers: Record<string, string> = asScript) =>
    (await ask('POST', '/test', headers, { channel })).json();
  const phone = asPage((await house.pair()).cookie);
  expect(await test('push', phone)).toEqual({
    sent: false,
    says: 'This phone takes no notices yet.',
  });
  expect(await test('mail')).toEqual({ sent: false, says: 'No mail is set up.' });
  expect(await test('webhook')).toEqual({ sent: false, says: 'No webhook is set up.' });
  const { port, calls, close } = await receiver((response) => response.end());
  const put = (allowLocal: boolean) => {
    const webhook = { url: `http://127.0.0.1:${port}/`, secret: 'hush-hush', allowLocal };
    return house.watching.putSetup({ tubs: [kowhai], notify: { webhook } }, T0);
  };
  await put(false);
  expect(await test('webhook')).toEqual({
    sent: false,
    says: 'The webhook’s address is an address that may not be called from here.',
  });
  expect(calls).toHaveLength(0);
  await put(true);
  expect(await test('webhook')).toEqual({ sent: true, says: 'The webhook’s address took it.' });
  expect(JSON.parse(String(calls[0]!.body))).toMatchObject({ event: 'test', tub: null });
  expect(house.logged.join('')).not.toContain('hush-hush');
  await close();
});

test('the house’s channels are tried by who has a right for all of it, and not without end', async () => {
  const some = asPage((await house.pair({ tubs: ['kowhai'] })).cookie);
  expect((await ask('POST', '/test', some, { channel: 'mail' })).statusCode).toBe(403);
  expect((await ask('POST', '/test', some, { channel: 'push' })).statusCode).toBe(200);
  const answers: number[] = [];
  for (let i = 0; i < 12; i++) {
    answers.push((await ask('POST', '/test', asScript, { channel: 'mail' })).statusCode);
  }
  expect(answers.at(0)).toBe(200);
  expect(answers.at(-1)).toBe(429);
});

test('each channel says how it is doing', async () => {
  const { items, publicKey } = (await ask('GET', '', asScript)).json();
  const nothing = { recipients: 0, lastSentAt: null, waiting: 0, trouble: null };
  expect(items).toEqual(['push', 'mail', 'webhook'].map((channel) => ({ channel, ...nothing })));
  expect(publicKey).toBe(house.parts.pushKey);
});

test('a phone says how its owner likes figures, and nothing that is no language or unit', async () => {
  const headers = asPage((await house.pair(viewer)).cookie);
  const manner = { locale: 'en-US', temperature: 'F', volume: 'gal', hours: 12 };
  const put = (changes: object) =>
    ask('PUT', '/push', headers, {
      subscription,
      wishes: { ...usual, manner: { ...manner, ...changes } },
    });
  expect((await put({})).statusCode).toBe(200);
  expect((await ask('GET', '/push', headers)).json().wishes).toEqual({ ...usual, manner });
  for (const [field, wrong] of Object.entries({
    ...{ locale: 'no language!', temperature: 'K', volume: 'pt', hours: 10 },
  })) {
    const answer = await put({ [field]: wrong });
    expect([field, answer.statusCode]).toEqual([field, 400]);
    expect(answer.body).toContain(`/wishes/manner/${field}`);
  }
});
