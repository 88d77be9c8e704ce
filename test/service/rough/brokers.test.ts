import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { createInterface } from 'node:readline';
import { setImmediate as turn } from 'node:timers/promises';
import { createServer } from 'node:tls';
import { fileURLToPath } from 'node:url';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { connectAsync } from 'mqtt';
import { afterEach, expect, test, vi } from 'vitest';
import { OutsideBroker } from '../../../collector-service/ingest/outside-broker.ts';
import { atTheEnd, leave, openHouse } from '../broker/hearing-house.ts';
import { startMosquitto } from '../mosquitto.ts';
import { badBroker, handOn, type Manner, ownTimers, troubleOf, untilSo } from './bad-broker.ts';

afterEach(leave);

type House = Awaited<ReturnType<typeof openHouse>>;

/** A link that was called for, not waited for. */
function call(house: House, url: string): OutsideBroker {
  const { intake, clock } = house;
  const login = { username: null, password: null, clientId: 'sunsteep-test' };
  const hearing = new OutsideBroker({ intake, clock, url, ...login });
  void hearing.start();
  atTheEnd(() => {
    vi.useRealTimers();
    return hearing.close();
  });
  return hearing;
}

async function mosquitto() {
  const broker = await startMosquitto();
  atTheEnd(() => broker.remove());
  return broker;
}

const OWN_TIME = Date.UTC(2026, 0, 15, 12);
const at = (n: number) => JSON.stringify([{ t: OWN_TIME / 1000 + n, v: 30 + (n % 10) }]);

/** A CONNACK of MQTT 3.1.1 that says no, for a reason by its number. */
const refuses =
  (code: number): Manner =>
  (socket, packets) =>
    void packets().then(() => socket.end(Buffer.from([0x20, 2, 0, code])));

const bad: [what: string, manner: Manner, says: string][] = [
  ['hangs up when called', (socket) => void socket.end(), 'hangs up when called.'],
  ['accepts and never answers', () => {}, 'does not answer.'],
  [
    'sends half a packet, and no more',
    (socket) => void socket.write(Buffer.from([0x20, 2])),
    'does not answer.',
  ],
  [
    'sends half a packet, and hangs up',
    (socket, packets) => void packets().then(() => socket.end(Buffer.from([0x20, 2]))),
    'hangs up when called.',
  ],
  [
    'is a server for pages',
    (socket, packets) => void packets().then(() => socket.end('HTTP/1.1 400 Bad Request\r\n\r\n')),
    'answers with something else than MQTT: is that the port of a broker?',
  ],
  [
    'begins a packet of 256 MB',
    (socket, packets) =>
      void packets().then(() => socket.write(Buffer.from([0x20, 255, 255, 255, 127]))),
    'sends what cannot be: a packet that is no PUBLISH is over 64 KiB.',
  ],
  [
    'knows the password no more',
    refuses(4),
    'refuses the user name or the password: check SUNSTEEP_MQTT_USERNAME and SUNSTEEP_MQTT_PASSWORD.',
  ],
  ['is not available', refuses(3), 'says that it is not available.'],
];

test.each(bad)(
  'a broker that %s is told of, tried again, and heard when it is well',
  async (_what, manner, says) => {
    const real = await mosquitto();
    const house = await openHouse();
    const broker = await badBroker(manner, real.port);
    broker.silent = says === 'does not answer.';
    ownTimers();
    const hearing = call(house, broker.url);
    await untilSo(() => troubleOf(hearing) === `The broker ${broker.url} ${says}`, broker);
    const { calls } = broker;
    await untilSo(() => broker.calls >= calls + 2, broker);
    expect(troubleOf(hearing)).toBe(`The broker ${broker.url} ${says}`);
    expect(broker.open.size).toBeLessThanOrEqual(1);
    broker.manner = null;
    broker.silent = false;
    await untilSo(() => troubleOf(hearing) === null, broker);
    vi.useRealTimers();
    const board = await connectAsync(real.url);
    await board.publishAsync('sunsteep/kowhai/tub/temperature', at(0), { qos: 1 });
    await house.until(async () => (await house.readings()).length === 1);
    await board.endAsync();
  },
);

test('a broker that falls silent is told of within a minute, and called anew', async () => {
  const real = await mosquitto();
  const house = await openHouse();
  const broker = await badBroker(null, real.port);
  ownTimers();
  const hearing = call(house, broker.url);
  await untilSo(() => troubleOf(hearing) === null);
  for (const socket of broker.open) socket.removeAllListeners('data').pause();
  broker.busy.clear();
  await untilSo(() => troubleOf(hearing) !== null, broker);
  expect(troubleOf(hearing)).toBe(`The broker ${broker.url} does not answer any more.`);
  await untilSo(() => troubleOf(hearing) === null, broker);
});

test('from a broker that flaps every second comes all that it took, once', async () => {
  const real = await mosquitto();
  const house = await openHouse();
  const broker = await badBroker(null, real.port);
  ownTimers();
  const hearing = call(house, broker.url);
  await untilSo(() => troubleOf(hearing) === null);
  const board = await connectAsync(real.url);
  const answers: Promise<unknown>[] = [];
  const FLAPS = 25;
  for (let flap = 0; flap < FLAPS; flap++) {
    await untilSo(() => troubleOf(hearing) === null, broker);
    for (let n = 0; n < 20; n++) {
      const topic = 'sunsteep/kowhai/tub/temperature';
      answers.push(board.publishAsync(topic, at(flap * 20 + n), { qos: 1 }));
    }
    vi.advanceTimersByTime(1_000);
    for (const socket of broker.open) socket.destroy();
    await untilSo(() => troubleOf(hearing) !== null);
    expect(broker.open.size).toBeLessThanOrEqual(1);
  }
  await Promise.all(answers);
  await untilSo(async () => (await house.readings()).length >= FLAPS * 20, broker);
  expect((await house.readings()).map(({ t }) => (t - OWN_TIME) / 1000)).toEqual(
    Array.from({ length: FLAPS * 20 }, (_, n) => n),
  );
  expect(await house.unreadable()).toEqual([]);
  vi.useRealTimers();
  await board.endAsync();
});

const pem = (name: string) => new URL(`tls/${name}.pem`, import.meta.url);

/** A broker over TLS; its certificate can be renewed. */
async function secureBroker(behind: number) {
  const key = readFileSync(pem('key'));
  const server = createServer({ key, cert: readFileSync(pem('expired')) }, (socket) =>
    handOn(
      socket.on('error', () => {}),
      behind,
    ),
  );
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  atTheEnd(() => new Promise((closed) => server.close(closed)));
  return {
    url: `mqtts://localhost:${(server.address() as AddressInfo).port}`,
    renew: () => server.setSecureContext({ key, cert: readFileSync(pem('renewed')) }),
  };
}

test('a certificate that has expired is told as that, and a renewed one taken by itself', async () => {
  const broker = await secureBroker((await mosquitto()).port);
  const script = fileURLToPath(new URL('secure-link.ts', import.meta.url));
  const env = { ...process.env, NODE_EXTRA_CA_CERTS: fileURLToPath(pem('ca')) };
  const link = spawn(process.execPath, ['--import', 'tsx', script, broker.url], {
    env,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  atTheEnd(() => link.kill('SIGKILL'));
  const said: string[] = [];
  for await (const line of createInterface(link.stdout)) {
    said.push(line);
    broker.renew();
  }
  expect(said).toEqual([
    `The broker ${broker.url} has a certificate that has expired: renew it there.`,
    'well',
  ]);
});

test('calling in vain five hundred times takes no memory, and leaves no connection', async () => {
  const house = await openHouse();
  const broker = await badBroker((socket) => void socket.end(), null);
  ownTimers();
  const hearing = call(house, broker.url);
  const heapAfter = async (calls: number) => {
    await untilSo(() => broker.calls >= calls, broker);
    for (let turns = 0; turns < 50; turns++) await turn();
    collectGarbage();
    return process.memoryUsage().heapUsed / 1e6;
  };
  const early = await heapAfter(100);
  const late = await heapAfter(500);
  console.log(`heap after 100 calls ${early.toFixed(1)} MB, after 500 ${late.toFixed(1)} MB`);
  expect(late - early).toBeLessThan(4);
  expect(broker.open.size).toBeLessThanOrEqual(1);
  expect(vi.getTimerCount()).toBeLessThanOrEqual(3);
  expect(troubleOf(hearing)).toMatch(/hangs up when called\.$/);
});

setFlagsFromString('--expose-gc');
const collectGarbage = runInNewContext('gc') as () => void;
