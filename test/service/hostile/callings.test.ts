import type { LookupAddress, lookup } from 'node:dns';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { Mail } from '../../../collector-service/notify/mail.ts';
import { post } from '../../../collector-service/notify/post.ts';
import { Push, vapidKeys } from '../../../collector-service/notify/push.ts';
import { isWithin, type Reach } from '../../../collector-service/notify/reach.ts';
import { Webhook } from '../../../collector-service/notify/webhook.ts';
import { letter, write } from '../../../collector-service/notify/writer.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Setup } from '../../../model/setup.ts';
import { setupSchema } from '../../../model/setup.ts';
import { temporaryFolder } from '../../store/folders.ts';
import { always } from '../hearing/property.ts';
import { clock, outgoing, receiver, setupWith, T0 } from '../notify/notices.ts';
import { mailServer, readMail } from '../notify/smtp.ts';
import { kowhai, subscription } from '../serve/samples.ts';

/** Where the service calls, when somebody wants it to call where it must not, or to say what it must not. */

let target: Awaited<ReturnType<typeof receiver>>;
beforeAll(async () => {
  target = await receiver((response) => response.end());
});
afterAll(() => target.close());

const refused = { why: 'is an address that may not be called from here' };

/** A name server that answers with the next of these each time it is asked. */
const names = (...answers: string[][]) => {
  let asked = 0;
  const look = ((_: string, _options: object, done: (e: null, found: LookupAddress[]) => void) => {
    const addresses = answers[Math.min(asked++, answers.length - 1)]!;
    const family = (address: string) => (address.includes(':') ? 6 : 4);
    done(
      null,
      addresses.map((address) => ({ address, family: family(address) })),
    );
  }) as unknown as typeof lookup;
  return { lookup: look, asked: () => asked };
};

const calls = (host: string, reach: Reach = 'home', network: { lookup?: typeof lookup } = {}) =>
  post({ url: `http://${host}:${target.port}/`, headers: {}, body: 'x', reach }, network);

/** An IPv4 address in each of the ways in which URLs write one (WHATWG URL, IPv4 parser). */
const written = (bytes: readonly number[]): string[] => {
  const [a, b, c, d] = bytes as [number, number, number, number];
  const whole = ((a * 256 + b) * 256 + c) * 256 + d;
  const octal = (n: number) => `0${n.toString(8)}`;
  const hex = (n: number) => `0x${n.toString(16)}`;
  return [
    bytes.join('.'),
    bytes.map(octal).join('.'),
    bytes.map(hex).join('.'),
    `${hex(a)}.${octal(b)}.${c}.${d}`,
    `${a}.${b}.${c * 256 + d}`,
    `${a}.${(b * 256 + c) * 256 + d}`,
    String(whole),
    hex(whole),
    octal(whole),
    `${bytes.join('.')}.`,
    bytes.map((n) => [...String(n)].map((digit) => `%3${digit}`).join('')).join('.'),
    bytes.join('。'),
  ];
};
/** The same address within one of IPv6. */
const disguised = (bytes: readonly number[]): string[] => {
  const [a, b, c, d] = bytes as [number, number, number, number];
  const [high, low] = [(a * 256 + b).toString(16), (c * 256 + d).toString(16)];
  return [
    `[::${high}:${low}]`,
    `[::ffff:${bytes.join('.')}]`,
    `[::ffff:${high}:${low}]`,
    `[0:0:0:0:0:ffff:${high}:${low}]`,
    `[64:ff9b::${high}:${low}]`,
    `[64:ff9b:1::${high}:${low}]`,
    `[2002:${high}:${low}::1]`,
  ];
};

const byte = fc.nat(255);
const near = fc.oneof(
  fc.tuple(fc.constant(127), byte, byte, byte),
  fc.tuple(fc.constant(0), byte, byte, byte),
  fc.tuple(fc.constant(169), fc.constant(254), byte, byte),
  fc.tuple(fc.integer({ min: 224, max: 255 }), byte, byte, byte),
);

describe('an address', () => {
  test('of this computer or its link is refused in whatever way it is written', async () => {
    const before = target.calls.length;
    const seen: Promise<unknown>[] = [];
    always(
      'near addresses',
      fc.property(near, (bytes) => {
        for (const host of [...written(bytes), ...disguised(bytes)]) {
          const url = new URL(`http://${host}:1/`);
          const address = url.hostname.replace(/^\[|\]$/g, '');
          expect(isWithin(address.replace(/\.$/, ''), 'home'), host).toBe(false);
          seen.push(calls(host).then((outcome) => expect(outcome, host).toEqual(refused)));
        }
      }),
      40,
    );
    await Promise.all(seen);
    expect(seen.length).toBeGreaterThan(18);
    expect(target.calls.length).toBe(before);
  });

  test('of the home is within a webhook’s reach, and never a phone’s', () => {
    const home = fc.oneof(
      fc.tuple(fc.constant(10), byte, byte, byte),
      fc.tuple(fc.constant(172), fc.integer({ min: 16, max: 31 }), byte, byte),
      fc.tuple(fc.constant(192), fc.constant(168), byte, byte),
      fc.tuple(fc.constant(100), fc.integer({ min: 64, max: 127 }), byte, byte),
    );
    always(
      'home addresses',
      fc.property(home, (bytes) => {
        for (const host of [...written(bytes), ...disguised(bytes).slice(1)]) {
          const address = new URL(`http://${host}:1/`).hostname.replace(/^\[|\]$|\.$/g, '');
          expect(isWithin(address, 'internet'), host).toBe(false);
        }
        expect(isWithin(bytes.join('.'), 'home')).toBe(true);
      }),
      200,
    );
    for (const address of ['fd12::1', 'fc00::1', 'fec0::1', '192.0.0.8', '198.18.0.1']) {
      expect(isWithin(address, 'internet'), address).toBe(false);
    }
  });

  test('that is neither is called, so that not everything is refused', () => {
    always(
      'addresses of the internet',
      fc.property(fc.integer({ min: 1, max: 9 }), byte, byte, byte, (...bytes) => {
        for (const reach of ['home', 'internet'] as const) {
          expect(isWithin(bytes.join('.'), reach)).toBe(true);
          for (const host of disguised(bytes).slice(1, 5)) {
            const { hostname } = new URL(`http://${host}:1/`);
            expect(isWithin(hostname.slice(1, -1), reach), host).toBe(true);
          }
        }
      }),
      200,
    );
  });
});

describe('a name', () => {
  const bad = ['127.0.0.1', '::1', '::ffff:127.0.0.1', '0.0.0.0', 'fe80::1', '169.254.169.254'];

  test('that stands for this computer is refused, alone and among others', async () => {
    const before = target.calls.length;
    for (const address of bad)
      expect(await calls('hook.test', 'home', names([address]))).toEqual(refused);
    expect(await calls('hook.test', 'home', names(bad))).toEqual(refused);
    for (const name of ['localhost', 'LOCALHOST', 'localhost.', 'ｌｏｃａｌｈｏｓｔ']) {
      expect(await calls(name), name).not.toHaveProperty('status');
    }
    expect(target.calls.length).toBe(before);
  });

  test('that changes between the look and the call is called where it was looked at', async () => {
    const before = target.calls.length;
    // fit at the first look and near at the next: there is no next
    const rebinding = names(['192.0.2.1'], ['127.0.0.1']);
    const limit = { limitMs: 200 };
    const outcome = await calls('hook.test', 'home', { ...rebinding, ...limit });
    expect(outcome).not.toHaveProperty('status');
    expect(rebinding.asked()).toBe(1);
    // of several only those within reach are tried
    const mixed = names(['127.0.0.1', '192.0.2.1', '::1']);
    expect(await calls('hook.test', 'home', { ...mixed, ...limit })).not.toHaveProperty('status');
    expect(target.calls.length).toBe(before);
  });

  test('is asked for anew at each call, so that what was fit once is no pass', async () => {
    const turning = names(['127.0.0.1'], ['127.0.0.1']);
    expect(await calls('hook.test', 'anywhere', turning)).toEqual({ status: 200 });
    expect(await calls('hook.test', 'home', turning)).toEqual(refused);
    expect(turning.asked()).toBe(2);
  });
});

test('a redirect leads nowhere, to this computer least', async () => {
  const before = target.calls.length;
  for (const status of [301, 302, 303, 307, 308]) {
    const leading = await receiver((response) => {
      const location = `http://127.0.0.1:${target.port}/stolen`;
      response.writeHead(status, { location, refresh: `0;url=${location}` }).end();
    });
    const webhook = { url: `http://127.0.0.1:${leading.port}/`, allowLocal: true };
    const hook = new Webhook({ setup: setupWith({ webhook }), clock });
    const { sent, trouble } = await hook.send('house', outgoing());
    expect([sent, trouble]).toEqual([false, expect.stringContaining(`(${status})`)]);
    await leading.close();
  }
  expect(target.calls.length).toBe(before);
});

test('an address for a webhook is http or https, and nothing else', () => {
  const isTaken = (url: string) =>
    setupSchema.safeParse({ tubs: [], notify: { webhook: { url } } }).success;
  for (const url of [
    'file:///etc/passwd',
    'gopher://a/',
    'ftp://a/',
    'data:,x',
    'javascript:1',
    '//a',
  ]) {
    expect(isTaken(url), url).toBe(false);
  }
  expect(isTaken('https://hook.example/x')).toBe(true);
});

test('a phone hears no more once its right is over, not of what was due before either', async () => {
  const { folder, remove } = temporaryFolder();
  const store = openStore(folder);
  const phone = { id: 'p', name: 'phone', right: 'viewer' as const, pairedAt: T0 };
  await store.addPhone({ ...phone, tubs: ['kowhai'], until: T0 + 1000 }, 'hash');
  const endpoint = `http://127.0.0.1:${target.port}/push`;
  const wishes = { quiet: null, least: 'look' as const, actAtNight: false };
  await store.subscribe({ phone: 'p', endpoint, ...subscription.keys, wishes });
  let now = T0;
  const push = new Push({
    ...{ store, clock: { now: () => now }, setup: setupWith({}), keys: await vapidKeys(store) },
    ...{ contact: () => 'mailto:nobody@sunsteep.invalid', reach: 'anywhere' },
  });
  const before = target.calls.length;
  expect((await push.send('p', outgoing())).sent).toBe(true);
  expect(await push.send('p', outgoing({ tub: 'lower' }))).toMatchObject({
    sent: false,
    gone: true,
  });
  now = T0 + 1000;
  expect(await push.send('p', outgoing())).toMatchObject({ sent: false, gone: true });
  await store.removePhone('p');
  expect(await push.send('p', outgoing())).toMatchObject({ sent: false, gone: true });
  expect(target.calls.length).toBe(before + 1);
  await store.close();
  remove();
});

describe('a mail', () => {
  const from = 'Tub <tub@mail.test>';
  const to = ['owner@mail.test'];

  test('says what people have called things in its text alone', async () => {
    const server = await mailServer();
    const evil = [
      'Tub\r\nBcc: thief@mail.test\r\n\r\n<b>x</b>',
      '\nSubject: other',
      '=?utf-8?B?DQpCY2M6IHRoaWVmQG1haWwudGVzdA==?=',
      '<img src=x onerror=alert(1)>',
      '\u2028Bcc: thief@mail.test',
      'a\0b\u001b[2J',
      '\u202eevil',
      '.\r\n.\r\nMAIL FROM:<thief@mail.test>\r\n',
    ];
    for (const name of evil) {
      const tub = { ...kowhai, name };
      const setup = (): Setup => ({
        ...{ tubs: [tub], notify: { mail: { host: '127.0.0.1', port: server.port, from, to } } },
      });
      const alert = {
        ...{
          id: 'a',
          tub: 'kowhai',
          fault: 'device-silent',
          severity: 'act',
          point: null,
          since: T0,
        },
        ...{
          raisedAt: T0,
          until: null,
          unknownSince: null,
          acknowledgedAt: null,
          shelvedUntil: null,
        },
        ...{ endedBy: null, costKwh: null, evidence: { board: name, minutes: 12 } },
      };
      const message = write(
        tub,
        [{ kind: 'raised', alert: alert as never, shelvedUntil: null }],
        T0,
      );
      const bodyOf = (told: typeof message) => letter(told, setup(), 'https://tub.test');
      const sent = await new Mail({ setup, bodyOf }).send('house', { id: 'x', message });
      expect(sent, name).toEqual({ sent: true, trouble: null });
      const { data, to: reached } = server.received.at(-1)!;
      expect(reached).toEqual(to);
      const { headers } = readMail(data);
      const found = headers.map(([header]) => header).sort();
      expect(new Set(found).size, name).toBe(found.length);
      expect(found).not.toContain('bcc');
      const kinds = headers.find(([header]) => header === 'content-type')![1];
      expect(kinds).toBe('text/plain; charset=utf-8');
      const subject = headers.find(([header]) => header === 'subject')![1];
      expect(subject).not.toMatch(/[\p{Cc}\u2028\u2029]/u);
    }
    expect(server.received).toHaveLength(evil.length);
    expect(server.commands.join('\n')).not.toContain('thief');
    await server.close();
  });

  test('goes to addresses that are just that', () => {
    const isTaken = (mail: object) => {
      const base = { host: 'mail.test', from, to };
      return setupSchema.safeParse({ tubs: [], notify: { mail: { ...base, ...mail } } }).success;
    };
    for (const address of [
      'a@b.test, thief@mail.test',
      'a@b.test;thief@mail.test',
      'a@b.test\r\nBcc: thief@mail.test',
      'a@b.test>\r\nRCPT TO:<thief@mail.test',
      'a@b.test\0',
      'a b',
      'Group: a@b.test;',
    ]) {
      expect(isTaken({ to: [address] }), address).toBe(false);
      expect(isTaken({ from: `${address}\n` }), address).toBe(false);
    }
    expect(isTaken({})).toBe(true);
  });
});
