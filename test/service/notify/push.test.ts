import {
  createDecipheriv,
  createECDH,
  createPublicKey,
  type ECDH,
  hkdfSync,
  randomBytes,
  verify,
} from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createServer } from 'node:https';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Push, type VapidKeys, vapidKeys } from '../../../collector-service/notify/push.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { usualWishes } from '../../../model/alerts/telling.ts';
import { temporaryFolder } from '../../store/folders.ts';
import { type Call, callOf, clock, outgoing, setupWith, T0 } from './notices.ts';

const pem = (name: string) =>
  readFileSync(new URL(`../serve/tls/${name}.pem`, import.meta.url), 'utf8');

let store: Store;
let keys: VapidKeys;
let remove: () => void;
let calls: Call[];
let status: number;
let endpoint: string;
const ends: (() => unknown)[] = [];

beforeEach(async () => {
  let folder: string;
  ({ folder, remove } = temporaryFolder());
  store = openStore(folder);
  keys = await vapidKeys(store);
  [calls, status] = [[], 201];
  const server = createServer({ cert: pem('cert'), key: pem('key') }, async (request, response) => {
    calls.push(await callOf(request));
    response.writeHead(status).end();
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  endpoint = `https://127.0.0.1:${(server.address() as AddressInfo).port}/push/abc`;
  ends.push(() => new Promise((resolve) => server.close(resolve).closeAllConnections()));
});
afterEach(async () => {
  for (const end of ends.splice(0)) await end();
  await store.close();
  remove();
});

const push = (more: Partial<ConstructorParameters<typeof Push>[0]> = {}) =>
  new Push({
    ...{ store, clock, keys, setup: setupWith({ quiet: { from: '20:00', to: '09:00' } }) },
    contact: () => 'mailto:owner@tub.test',
    network: { ca: pem('cert') },
    reach: 'anywhere',
    ...more,
  });

const noWishes = { quiet: null, least: 'look' as const, actAtNight: false };

/** A phone that is paired and subscribed, with the keys that only its browser has. */
async function phone(id: string, more: { tubs?: string[]; until?: number } = {}) {
  const own = createECDH('prime256v1');
  own.generateKeys();
  const auth = randomBytes(16);
  const { tubs = null, until = null } = more;
  await store.addPhone(
    { id, name: id, right: 'viewer', tubs, until, pairedAt: T0 },
    `hash of ${id}`,
  );
  const p256dh = own.getPublicKey('base64url');
  const at = `${endpoint}/${id}`;
  const subscription = { phone: id, endpoint: at, p256dh, auth: auth.toString('base64url') };
  await store.subscribe({ ...subscription, wishes: noWishes });
  return { own, auth };
}

/** What a browser makes of a push: RFC 8291 §3.4 and RFC 8188 §2, one record. */
function decrypted(body: Buffer, own: ECDH, auth: Buffer): string {
  const salt = body.subarray(0, 16);
  const idLength = body[20]!;
  const sender = body.subarray(21, 21 + idLength);
  const sealed = body.subarray(21 + idLength);
  const info = Buffer.concat([Buffer.from('WebPush: info\0'), own.getPublicKey(), sender]);
  const secret = Buffer.from(hkdfSync('sha256', own.computeSecret(sender), auth, info, 32));
  const part = (name: string, length: number) =>
    Buffer.from(hkdfSync('sha256', secret, salt, `Content-Encoding: ${name}\0`, length));
  const decipher = createDecipheriv('aes-128-gcm', part('aes128gcm', 16), part('nonce', 12));
  decipher.setAuthTag(sealed.subarray(-16));
  const plain = Buffer.concat([decipher.update(sealed.subarray(0, -16)), decipher.final()]);
  const end = plain.lastIndexOf(2); // the mark of the last record
  return plain.subarray(0, end).toString();
}

test('these tests read the example of RFC 8291 as it says', () => {
  const own = createECDH('prime256v1');
  own.setPrivateKey('q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94', 'base64url');
  const body =
    'DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN';
  const auth = Buffer.from('BTBZMqHH6r4Tts7J_aSIgg', 'base64url');
  expect(decrypted(Buffer.from(body, 'base64url'), own, auth)).toBe(
    'When I grow up, I want to be a watermelon',
  );
});

test('a phone alone can read its notice', async () => {
  const { own, auth } = await phone('p1');
  const outcome = await push().send('p1', outgoing());
  expect(outcome).toEqual({ sent: true, trouble: null });
  const [{ path, headers, body }] = calls as [Call];
  expect(path).toBe('/push/abc/p1');
  expect(headers).toMatchObject({
    'content-encoding': 'aes128gcm',
    ttl: '86400',
    urgency: 'normal',
  });
  expect(headers.topic).toMatch(/^[\w-]{32}$/);
  const { message } = outgoing();
  expect(JSON.parse(decrypted(body, own, auth))).toEqual({
    id: outgoing().id,
    title: message.title,
    text: message.text,
    severity: 'act',
    event: 'raised',
    tub: 'kowhai',
    alert: message.alerts[0]!.id,
  });
  expect(body.includes('Kōwhai')).toBe(false);
});

test('the push service can tell that it is we who send', async () => {
  await phone('p1');
  await push().send('p1', outgoing());
  const [, token, k] = /^vapid t=([^,]+), ?k=(.+)$/.exec(calls[0]!.headers.authorization!)!;
  expect(k).toBe(keys.publicKey);
  const [head, claims, signed] = token!.split('.') as [string, string, string];
  const parsed = (text: string) => JSON.parse(String(Buffer.from(text, 'base64url')));
  expect(parsed(head)).toMatchObject({ alg: 'ES256' });
  const { aud, sub, exp } = parsed(claims);
  expect(aud).toBe(new URL(endpoint).origin);
  expect(sub).toBe('mailto:owner@tub.test');
  const hours = (exp - Date.now() / 1000) / 3600;
  expect(hours > 0 && hours <= 24, `${hours} h`).toBe(true); // RFC 8292 §2
  const point = Buffer.from(keys.publicKey, 'base64url');
  const [x, y] = [point.subarray(1, 33), point.subarray(33)].map((n) => n.toString('base64url'));
  const key = createPublicKey({ format: 'jwk', key: { kty: 'EC', crv: 'P-256', x: x!, y: y! } });
  const data = Buffer.from(`${head}.${claims}`);
  const signature = Buffer.from(signed, 'base64url');
  expect(verify('sha256', data, { key, dsaEncoding: 'ieee-p1363' }, signature)).toBe(true);
});

test('danger is urgent, and what is told again takes the place of what was not fetched', async () => {
  await phone('p1');
  await push().send('p1', outgoing({ severity: 'danger' }));
  await push().send('p1', outgoing({ severity: 'danger', event: 'again' }));
  expect(calls.map(({ headers }) => headers.urgency)).toEqual(['high', 'high']);
  expect(calls[1]!.headers.topic).toBe(calls[0]!.headers.topic);
});

test('the keys are made once', async () => {
  expect(await vapidKeys(store)).toEqual(keys);
  const own = createECDH('prime256v1');
  own.setPrivateKey(keys.privateKey, 'base64url');
  expect(own.getPublicKey('base64url')).toBe(keys.publicKey);
});

test.each([404, 410])('a subscription that has ended (%i) is taken away', async (answered) => {
  await phone('p1');
  status = answered;
  expect(await push().send('p1', outgoing())).toMatchObject({ sent: false, gone: true });
  expect(await store.subscriptions()).toEqual([]);
});

test.each([400, 429, 500])(
  'after %i the subscription stays, and it is tried again',
  async (bad) => {
    await phone('p1');
    status = bad;
    const outcome = await push().send('p1', outgoing());
    expect(outcome).toEqual({
      sent: false,
      trouble: `The phone’s push service answered with ${bad}.`,
    });
    expect(await store.subscriptions()).toHaveLength(1);
  },
);

test('a phone cannot make us call our own house', async () => {
  await phone('p1');
  const outcome = await push({ reach: 'internet' }).send('p1', outgoing());
  expect(outcome.trouble).toMatch(/may not be called from here/);
  expect(calls).toEqual([]);
});

test('a push service that cannot be trusted gets nothing', async () => {
  await phone('p1');
  const outcome = await push({ network: {} }).send('p1', outgoing());
  expect(outcome.trouble).toMatch(/no certificate that can be trusted/);
  expect(calls).toEqual([]);
});

test('phones hear of their own tubs, as long as their right lasts, with the house’s quiet hours', async () => {
  await phone('all');
  await phone('some', { tubs: ['kowhai'] });
  await phone('over', { until: T0 });
  const recipients = await push().recipients();
  expect(
    recipients.map(({ target, covers }) => [target, covers('kowhai'), covers('lower')]),
  ).toEqual([
    ['all', true, true],
    ['some', true, false],
  ]);
  expect(recipients[0]!.wishes).toEqual({ ...usualWishes, quiet: { from: '20:00', to: '09:00' } });
  const own = { from: '23:00', to: '05:00' };
  const [first] = await store.subscriptions();
  await store.subscribe({ ...first!, wishes: { ...noWishes, quiet: own } });
  expect((await push().recipients())[0]!.wishes?.quiet).toEqual(own);
});

test('keys that are none are told from a service that is not there', async () => {
  await phone('p1');
  const [subscription] = await store.subscriptions();
  await store.subscribe({ ...subscription!, p256dh: 'AAAA' });
  expect(await push().send('p1', outgoing())).toMatchObject({ sent: false, gone: true });
  expect(calls).toEqual([]);
});
