import type { LookupAddress, lookup } from 'node:dns';
import { createServer } from 'node:net';
import { afterEach, expect, test } from 'vitest';
import type { Network } from '../../../collector-service/notify/post.ts';
import { isWithin } from '../../../collector-service/notify/reach.ts';
import { signature, Webhook } from '../../../collector-service/notify/webhook.ts';
import type { Setup } from '../../../model/setup.ts';
import { documentOf } from '../../docs/texts.ts';
import { alert } from '../serve/samples.ts';
import { clock, outgoing, receiver, setupWith, T0 } from './notices.ts';

const ends: (() => unknown)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

async function listening(answer: Parameters<typeof receiver>[0] = (response) => response.end()) {
  const server = await receiver(answer);
  ends.push(server.close);
  return server;
}

type Settings = NonNullable<NonNullable<Setup['notify']>['webhook']>;
const hook = (webhook: Settings, network: Network = {}) =>
  new Webhook({ setup: setupWith({ webhook }), clock, network });

/** A name server that answers with the next of these each time; the last stays. */
function names(...answers: string[][]) {
  const asked: string[] = [];
  const look = ((name: string, _options: object, done: (e: null, a: LookupAddress[]) => void) => {
    const addresses = answers[Math.min(asked.push(name), answers.length) - 1]!;
    done(
      null,
      addresses.map((address) => ({ address, family: address.includes(':') ? 6 : 4 })),
    );
  }) as unknown as typeof lookup;
  return { asked, lookup: look };
}

/** Takes a signature apart as a receiver would, by the example of the documents. */
async function isFromSunsteep(...given: [string, string, string, number]): Promise<boolean> {
  const [code] = documentOf('docs/telling.md').text.match(/(?<=```js\n)[^`]*`[^`]*`[^`]*(?=```)/)!;
  const module = await import(`data:text/javascript,${encodeURIComponent(code)}`);
  return module.isFromSunsteep(...given);
}

test('an alert is posted as JSON, whole, and signed', async () => {
  const { port, calls } = await listening();
  const secret = 'sky and water';
  const url = `http://127.0.0.1:${port}/hook?x=1`;
  const sent = await hook({ url, secret, allowLocal: true }).send('house', outgoing());
  expect(sent).toEqual({ sent: true, trouble: null });
  const [{ path, headers, body }] = calls as [(typeof calls)[0]];
  expect(path).toBe('/hook?x=1');
  expect(headers['content-type']).toBe('application/json');
  expect(headers['sunsteep-notice']).toBe('1772330400000-1');
  const at = new Date(T0).toISOString();
  expect(JSON.parse(String(body))).toEqual({ tub: 'kowhai', event: 'raised', alert, at });
  const signed = String(headers['sunsteep-signature']);
  expect(await isFromSunsteep(signed, String(body), secret, T0)).toBe(true);
  expect(await isFromSunsteep(signed, `${body} `, secret, T0)).toBe(false);
  expect(await isFromSunsteep(signed, String(body), 'another', T0)).toBe(false);
  expect(await isFromSunsteep(signed, String(body), secret, T0 + 301_000)).toBe(false);
  expect(JSON.stringify(calls)).not.toContain(secret);
});

test('without a secret nothing is signed', async () => {
  const { port, calls } = await listening();
  await hook({ url: `http://127.0.0.1:${port}`, allowLocal: true }).send('house', outgoing());
  expect(calls[0]!.headers).not.toHaveProperty('sunsteep-signature');
});

test('the example of a signature in the documents is right', () => {
  const { text } = documentOf('docs/telling.md');
  const [, secret] = /secret `([^`]+)`, this body/.exec(text)!;
  const [, body, header] = /```text\n(\{.*\})\nSunsteep-Signature: (\S+)\n```/.exec(text)!;
  expect(header).toBe(signature(secret!, body!, T0));
});

test('this computer and its link are refused, however they are written, and nobody is called', async () => {
  const { port, calls } = await listening();
  const hosts = ['127.0.0.1', '127.1', '0x7f.1', '2130706433', '0', 'localhost', 'LOCALHOST'];
  const sixes = ['::1', '::', '::ffff:127.0.0.1', '::ffff:7f00:1', '64:ff9b::7f00:1', 'fe80::1'];
  for (const host of [...hosts, ...sixes.map((six) => `[${six}]`)]) {
    const outcome = await hook({ url: `http://${host}:${port}/` }).send('house', outgoing());
    expect(outcome, host).toEqual({
      sent: false,
      trouble: 'The webhook’s address is an address that may not be called from here.',
    });
  }
  expect(calls).toEqual([]);
});

test('a name is judged by what it stands for, and called at just that', async () => {
  const { port, calls } = await listening();
  const url = `http://hook.test:${port}/`;
  const refused = [['127.0.0.1'], ['::1', '127.0.0.1'], ['169.254.169.254'], ['::ffff:127.0.0.1']];
  for (const answer of refused) {
    const { asked, lookup } = names(answer);
    const outcome = await hook({ url }, { lookup }).send('house', outgoing());
    expect(outcome.trouble).toMatch(/may not be called/);
    expect(asked).toEqual(['hook.test']);
  }
  expect(calls).toEqual([]);
  // a name that stands for something else the second time is not looked up a second time
  const { asked, lookup } = names(['127.0.0.1'], ['192.0.2.1']);
  const outcome = await hook({ url, allowLocal: true }, { lookup }).send('house', outgoing());
  expect(outcome.sent).toBe(true);
  expect(asked).toEqual(['hook.test']);
  expect(calls[0]!.headers.host).toBe(`hook.test:${port}`);
});

test('addresses are near, of the home, or of the internet', () => {
  // RFC 6890, 5771, 4291, 4193, 6598, 6052, 3056 and 5737 by turns
  const near = ['127.255.255.254', '0.0.0.0', '169.254.0.1', '224.0.0.251', '255.255.255.255'];
  const nearSix = [
    '::1',
    '::',
    'fe80::1%eth0',
    'ff02::fb',
    '::ffff:a9fe:1',
    '2002:7f00:1::',
    '::7f00:1',
  ];
  for (const address of [...near, ...nearSix]) {
    expect(isWithin(address, 'home'), address).toBe(false);
    expect(isWithin(address, 'internet'), address).toBe(false);
    expect(isWithin(address, 'anywhere'), address).toBe(true);
  }
  const home = [
    '10.0.0.1',
    '172.31.255.255',
    '192.168.1.20',
    '100.64.0.1',
    'fd00::1',
    '::ffff:c0a8:1',
  ];
  for (const address of home) {
    expect(isWithin(address, 'home'), address).toBe(true);
    expect(isWithin(address, 'internet'), address).toBe(false);
  }
  for (const address of [
    '203.0.113.7',
    '128.0.0.1',
    '172.32.0.1',
    '2001:db8::1',
    '2002:cb00:7107::',
  ]) {
    expect(isWithin(address, 'internet'), address).toBe(true);
  }
});

test('a redirect is not followed', async () => {
  const { port, calls } = await listening((response) => {
    response.writeHead(307, { location: '/elsewhere' }).end();
  });
  const url = `http://127.0.0.1:${port}/here`;
  const outcome = await hook({ url, allowLocal: true }).send('house', outgoing());
  expect(outcome.trouble).toMatch(/leads on to another one \(307\)/);
  expect(calls.map(({ path }) => path)).toEqual(['/here']);
});

test('what the other side says is never repeated', async () => {
  const { port } = await listening((response) => {
    response.writeHead(500, 'said in secret').end('said in secret');
  });
  const url = `http://127.0.0.1:${port}/token-in-path`;
  const outcome = await hook({ url, allowLocal: true }).send('house', outgoing());
  expect(outcome).toEqual({ sent: false, trouble: 'The webhook’s address answered with 500.' });
});

test('who does not answer, or is not there, is given up', async () => {
  const { port } = await listening(() => {}); // answers nothing
  const url = (to: number) => `http://127.0.0.1:${to}/`;
  const silent = hook({ url: url(port), allowLocal: true }, { limitMs: 100 });
  expect(await silent.send('house', outgoing())).toEqual({
    sent: false,
    trouble: 'The webhook’s address did not answer in time.',
  });
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port: free } = server.address() as { port: number };
  await new Promise((resolve) => server.close(resolve));
  const nobody = hook({ url: url(free), allowLocal: true });
  expect((await nobody.send('house', outgoing())).trouble).toMatch(/could not be reached/);
});

test('an answer that never ends holds nothing up', async () => {
  const { port } = await listening((response) => void response.write('x'));
  const url = `http://127.0.0.1:${port}/`;
  const outcome = await hook({ url, allowLocal: true }).send('house', outgoing());
  expect(outcome.sent).toBe(true);
});

test('a test says that it is one, about no tub', async () => {
  const { port, calls } = await listening();
  const url = `http://127.0.0.1:${port}/`;
  const test = { event: 'test' as const, tub: null, alerts: [] };
  await hook({ url, allowLocal: true }).send('house', outgoing(test));
  const at = new Date(T0).toISOString();
  expect(JSON.parse(String(calls[0]!.body))).toEqual({ tub: null, event: 'test', alert: null, at });
});

test('nobody is told where no webhook is set up', async () => {
  const none = new Webhook({ setup: setupWith({ webhook: null }), clock });
  expect(await none.recipients()).toEqual([]);
  expect(await none.send('house', outgoing())).toMatchObject({ sent: false, gone: true });
});
