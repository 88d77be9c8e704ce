import { readFileSync } from 'node:fs';
import { createServer, connect as dial } from 'node:net';
import { connect, type IClientOptions, type MqttClient } from 'mqtt';
import { afterEach, expect, test } from 'vitest';
import type { EmbeddedBroker } from '../../../collector-service/ingest/embedded-broker.ts';
import { listener, publish, subscribe } from '../mosquitto.ts';
import { atTheEnd, leave, openEmbedded, openHouse } from './hearing-house.ts';

const SENSOR = ['-u', 'sensor', '-P', 'hot water'];
const READER = ['-u', 'reader', '-P', 'just looking'];
const TEMPERATURE = 'sunsteep/kowhai/tub/temperature';

afterEach(leave);

/** A client that does not come again by itself, so that a connection that broke shows. */
async function dialIn(port: number, options: IClientOptions): Promise<MqttClient> {
  const client = connect({ host: '127.0.0.1', port, reconnectPeriod: 0, ...options });
  atTheEnd(() => client.end(true));
  await new Promise<void>((resolve, reject) => {
    client.once('connect', () => resolve());
    client.once('error', reject);
    client.once('close', () => reject(new Error('closed')));
  });
  client.on('error', () => {});
  return client;
}

const sensor = (port: number) => dialIn(port, { username: 'sensor', password: 'hot water' });
const reader = (port: number) => dialIn(port, { username: 'reader', password: 'just looking' });
const closed = (client: MqttClient) => new Promise<void>((done) => client.once('close', done));

async function open(options: Parameters<typeof openEmbedded>[1] = {}) {
  const house = await openHouse();
  return { house, broker: await openEmbedded(house, options) };
}

test('a board publishes a reading with the C client', async () => {
  const { house, broker } = await open();
  const sent = await publish(broker.port, [...SENSOR, '-q', '1', '-t', TEMPERATURE, '-m', '37.4']);
  expect(sent.code).toBe(0);
  expect(await house.readings()).toMatchObject([{ point: 'tub/temperature', value: 37.4 }]);
});

test('QoS 0 and 2 bring readings as well', async () => {
  const { house, broker } = await open();
  const client = await sensor(broker.port);
  client.publish(TEMPERATURE, '[{"t":1770000000,"v":30}]', { qos: 0 });
  await client.publishAsync(TEMPERATURE, '[{"t":1770000001,"v":31}]', { qos: 2 });
  expect((await house.readings()).map(({ value }) => value)).toEqual([30, 31]);
});

test('a live publish is a reading also where the board has it retained', async () => {
  const { house, broker } = await open();
  await publish(broker.port, [...SENSOR, '-r', '-q', '1', '-t', TEMPERATURE, '-m', '37.4']);
  expect(await house.readings()).toHaveLength(1);
  expect(house.intake.lastKnown.of('kowhai').size).toBe(0);
  const read = await subscribe(broker.port, [...READER, '-t', TEMPERATURE, '-C', '1', '-W', '20']);
  expect(read).toEqual({ code: 0, output: '37.4\n' });
});

test('what is unreadable is acknowledged once it is recorded', async () => {
  const { house, broker } = await open();
  const client = await sensor(broker.port);
  for (const topic of [TEMPERATURE, 'sunsteep/kowhai/tub/colour', 'shed/state', 'a/b/c']) {
    await client.publishAsync(topic, 'warm', { qos: 1 });
  }
  expect((await house.unreadable()).map(({ topic }) => topic).sort()).toEqual(
    ['a/b/c', 'shed/state', 'sunsteep/kowhai/tub/colour', TEMPERATURE].sort(),
  );
});

test.each([
  ['70 kB', 70_000],
  ['1 MB', 1_000_000],
])('a payload of %s is acknowledged, unreadable, and ends nothing', async (_name, size) => {
  const { house, broker } = await open();
  const client = await sensor(broker.port);
  await client.publishAsync(TEMPERATURE, Buffer.alloc(size, 0x37), { qos: 1 });
  await client.publishAsync(TEMPERATURE, '37.4', { qos: 1 });
  expect(await house.unreadable()).toMatchObject([
    { why: 'the payload is over 64 KiB', payload: '7'.repeat(200), count: 1 },
  ]);
  expect(await house.readings()).toMatchObject([{ value: 37.4 }]);
});

test('nobody comes in without the right password', async () => {
  const { broker, house } = await open();
  const attempt = async (options: IClientOptions) =>
    dialIn(broker.port, options).then(
      () => 'in',
      (error: { code?: number }) => error.code,
    );
  expect(await attempt({})).toBe(4);
  expect(await attempt({ username: 'sensor' })).toBe(4);
  expect(await attempt({ username: 'sensor', password: '' })).toBe(4);
  expect(await attempt({ username: 'sensor', password: 'Hot water' })).toBe(4);
  house.ahead.ms += 61_000;
  expect(await attempt({ username: 'reader', password: 'hot water' })).toBe(4);
  expect(await attempt({ username: 'x'.repeat(1000), password: 'hot water' })).toBe(4);
  expect(await attempt({ username: 'sensor', password: 'hot water' })).toBe('in');
  const { refused } = broker.health();
  expect(refused).toHaveLength(6);
  expect(refused[0]).toMatchObject({
    address: '127.0.0.1',
    user: 'x'.repeat(64),
    why: 'wrong user or password',
  });
  expect(refused.at(-1)).toMatchObject({ user: '', why: 'no password' });
});

test('without a password of its own there is no reader', async () => {
  const { broker } = await open({ passwords: { sensor: 'hot water', reader: null } });
  for (const password of ['', 'null', 'just looking']) {
    await expect(dialIn(broker.port, { username: 'reader', password })).rejects.toBeDefined();
  }
});

test('after five failures an address waits until the minute is over', async () => {
  const { house, broker } = await open();
  const wrong = () => dialIn(broker.port, { username: 'sensor', password: 'guess' });
  for (let i = 0; i < 5; i++) await expect(wrong()).rejects.toMatchObject({ code: 4 });
  await expect(sensor(broker.port)).rejects.toMatchObject({ code: 3 });
  const said = await publish(broker.port, [...SENSOR, '-t', TEMPERATURE, '-m', '37']);
  expect(said.code).not.toBe(0);
  expect(broker.health().refused[0]).toMatchObject({
    user: 'sensor',
    why: 'five failed logins within a minute: it has to wait',
  });
  house.ahead.ms += 60_000;
  await sensor(broker.port);
  for (let i = 0; i < 4; i++) await expect(wrong()).rejects.toMatchObject({ code: 4 });
  await sensor(broker.port);
});

test.each([
  '$SYS/broker',
  '$anything',
  'sunsteep/service',
  'sunsteep/service/marker',
  'sunsteep/kowhai/report/alerts',
])('a board may not publish to %s', async (topic) => {
  const { house, broker } = await open();
  const hears = await reader(broker.port);
  const heard: string[] = [];
  const after = new Promise<void>((resolve) => {
    hears.on('message', (name, payload) => {
      heard.push(`${name} ${payload}`);
      if (name === TEMPERATURE) resolve();
    });
  });
  await hears.subscribeAsync('sunsteep/#', { qos: 1 });
  const client = await sensor(broker.port);
  const end = closed(client);
  client.publish(topic, 'forged', { qos: 1, retain: true });
  await end;
  await (await sensor(broker.port)).publishAsync(TEMPERATURE, '37', { qos: 1 });
  await after;
  expect(heard.filter((line) => line.includes('forged'))).toEqual([]);
  expect(await house.unreadable()).toEqual([]);
  expect(broker.health().refused[0]).toMatchObject({
    user: 'sensor',
    why: 'it may not publish to that topic',
  });
});

test("a board's last will cannot speak for the service", async () => {
  const { broker } = await open();
  const will = {
    topic: 'sunsteep/service',
    payload: Buffer.from('forged'),
    qos: 1,
    retain: true,
  } as const;
  const client = await dialIn(broker.port, { username: 'sensor', password: 'hot water', will });
  client.stream.destroy();
  await closed(client);
  await (await sensor(broker.port)).publishAsync(TEMPERATURE, '37', { qos: 1 });
  const read = await subscribe(broker.port, [
    ...READER,
    '-t',
    'sunsteep/service',
    '-C',
    '1',
    '-W',
    '20',
  ]);
  expect(read.output).toBe('hearing\n');
});

test("a board's last will is heard when its connection breaks", async () => {
  const { house, broker } = await open();
  const boards = [{ name: 'shed', points: [], willTopic: 'shed/alive' }];
  house.intake.setUp({ tubs: [{ id: 'kowhai', place: {} as never, boards }] });
  const will = { topic: 'shed/alive', payload: Buffer.from('no'), qos: 1, retain: false } as const;
  const client = await dialIn(broker.port, { username: 'sensor', password: 'hot water', will });
  client.stream.destroy();
  while (!house.intake.wills.has('shed/alive')) await new Promise(setImmediate);
  expect(Buffer.from(house.intake.wills.get('shed/alive')!.payload).toString()).toBe('no');
  expect(await house.unreadable()).toEqual([]);
});

test('a board hears nothing', async () => {
  const { broker } = await open();
  const client = await sensor(broker.port);
  for (const filter of ['#', 'sunsteep/#', 'sunsteep/service', TEMPERATURE]) {
    await expect(client.subscribeAsync(filter, { qos: 1 })).rejects.toThrow();
  }
});

test('a reader reads what is within sunsteep/, and publishes nothing', async () => {
  const { house, broker } = await open();
  const client = await reader(broker.port);
  for (const filter of [
    '#',
    '+/kowhai',
    'shed/#',
    '$SYS/#',
    'sunsteepx/#',
    '$share/a/sunsteep/#',
  ]) {
    await expect(client.subscribeAsync(filter, { qos: 1 }), filter).rejects.toThrow();
  }
  for (const filter of ['sunsteep/#', 'sunsteep/kowhai/#', 'sunsteep/+/tub/temperature']) {
    await client.subscribeAsync(filter, { qos: 1 });
  }
  const end = closed(client);
  client.publish(TEMPERATURE, '99', { qos: 1 });
  await end;
  expect(await house.readings()).toEqual([]);
});

test('readers hear readings, reports and the state of the service', async () => {
  const { broker } = await open();
  broker.report('sunsteep/kowhai/report/gain-today', '3.2');
  const heard = listener(broker.port, [...READER, '-v', '-t', 'sunsteep/#']);
  await heard.line((line) => line === 'sunsteep/service hearing');
  await heard.line((line) => line === 'sunsteep/kowhai/report/gain-today 3.2');
  await publish(broker.port, [...SENSOR, '-q', '1', '-t', TEMPERATURE, '-m', '37.4']);
  await heard.line((line) => line === `${TEMPERATURE} 37.4`);
  await broker.close();
  await heard.line((line) => line === 'sunsteep/service gone');
  await heard.stop();
});

test('a session ends with its connection, whatever the client asks for', async () => {
  const { broker } = await open();
  const options = { username: 'reader', password: 'just looking', clean: false, clientId: 'phone' };
  const first = await dialIn(broker.port, options);
  await first.subscribeAsync('sunsteep/#', { qos: 1 });
  await first.endAsync();
  await (await sensor(broker.port)).publishAsync(TEMPERATURE, '37', { qos: 1 });
  const again = connect({ host: '127.0.0.1', port: broker.port, reconnectPeriod: 0, ...options });
  atTheEnd(() => again.end(true));
  const present = await new Promise((resolve) =>
    again.once('connect', ({ sessionPresent }) => resolve(sessionPresent)),
  );
  expect(present).toBe(false);
});

test('MQTT 5 is refused by its version', async () => {
  const { broker } = await open();
  await expect(
    dialIn(broker.port, { username: 'sensor', password: 'hot water', protocolVersion: 5 }),
  ).rejects.toMatchObject({ code: 1 });
});

test('where the store fails nothing is acknowledged, and the connection ends', async () => {
  const { house, broker } = await open();
  house.intake.hold(true);
  const client = await sensor(broker.port);
  const end = closed(client);
  let acknowledged = false;
  client.publish(TEMPERATURE, '37', { qos: 1 }, (error) => {
    acknowledged = !error;
  });
  await end;
  expect(acknowledged).toBe(false);
  house.intake.hold(false);
  await (await sensor(broker.port)).publishAsync(TEMPERATURE, '38', { qos: 1 });
  expect(await house.readings()).toMatchObject([{ value: 38 }]);
});

test('a port that is taken is told in one sentence', async () => {
  const other = createServer();
  await new Promise<void>((listening) => other.listen(0, '127.0.0.1', listening));
  atTheEnd(() => new Promise((done) => other.close(done)));
  const { port } = other.address() as { port: number };
  const house = await openHouse();
  await expect(openEmbedded(house, { port })).rejects.toMatchObject({
    code: 'SUNSTEEP_PORT_TAKEN',
    message: expect.stringMatching(new RegExp(`^port ${port} .*SUNSTEEP_BROKER_PORT$`)),
  });
});

test('with a certificate there is MQTT over TLS besides', async () => {
  const pem = (name: string) =>
    readFileSync(new URL(`../serve/tls/${name}.pem`, import.meta.url), 'utf8');
  const tls = { port: 0, cert: pem('cert'), key: pem('key') };
  const { house, broker } = await open({ tls });
  const [plain, secure] = broker.ports;
  const login = { username: 'sensor', password: 'hot water' };
  const over = { protocol: 'mqtts', ca: tls.cert, servername: 'localhost', ...login } as const;
  await (await dialIn(secure!, over)).publishAsync(TEMPERATURE, '[{"t":1770000000,"v":1}]', {
    qos: 1,
  });
  await (await sensor(plain!)).publishAsync(TEMPERATURE, '[{"t":1770000001,"v":2}]', { qos: 1 });
  expect((await house.readings()).map(({ value }) => value)).toEqual([1, 2]);
});

test('an address has 200 connections, and one that closes makes room', async () => {
  const { broker } = await open();
  const idle = await Promise.all(Array.from({ length: 200 }, () => dialRaw(broker.port)));
  atTheEnd(() => {
    for (const socket of idle) socket.destroy();
  });
  await expect(sensor(broker.port)).rejects.toBeDefined();
  const gone = new Promise((done) => idle[0]!.once('close', done));
  idle[0]!.destroy();
  await gone;
  await untilIn(broker);
});

/** The broker sees a moment later than the client that a connection is closed. */
async function untilIn(broker: EmbeddedBroker & { port: number }): Promise<void> {
  for (;;) {
    const came = await sensor(broker.port).then(
      () => true,
      () => false,
    );
    if (came) return;
  }
}

async function dialRaw(port: number) {
  const socket = dial(port, '127.0.0.1');
  await new Promise<void>((connected, failed) => {
    socket.once('connect', connected);
    socket.once('error', failed);
  });
  return socket;
}

test.each([
  ['nonsense', Buffer.from('GET / HTTP/1.1\r\n\r\n')],
  ['a CONNECT over 64 KiB', Buffer.from([0x10, 0x81, 0x80, 0x04, 0, 4])],
  ['a PUBLISH before its CONNECT', Buffer.from([0x30, 3, 0, 1, 0x74])],
])('%s ends the connection, not the broker', async (_name, bytes) => {
  const { house, broker } = await open();
  const socket = await dialRaw(broker.port);
  const end = new Promise((done) => socket.once('close', done));
  socket.on('error', () => {});
  socket.write(bytes);
  await end;
  await (await sensor(broker.port)).publishAsync(TEMPERATURE, '37', { qos: 1 });
  expect(await house.readings()).toHaveLength(1);
});

test('whoever listens hears every topic, as long as they do', async () => {
  const { broker } = await open();
  const heard: string[] = [];
  const stop = broker.listen(({ topic, payload }) => heard.push(`${topic} ${payload}`));
  const client = await sensor(broker.port);
  await client.publishAsync('shed/state', '{"t":1}', { qos: 1 });
  await client.publishAsync(TEMPERATURE, '37', { qos: 1 });
  stop();
  await client.publishAsync('shed/state', '{"t":2}', { qos: 1 });
  expect(heard).toEqual(['shed/state {"t":1}', `${TEMPERATURE} 37`]);
});

test('a board that takes the name of another ends that one alone', async () => {
  const { house, broker } = await open();
  const login = { username: 'sensor', password: 'hot water', clientId: 'board' };
  const first = await dialIn(broker.port, login);
  const end = closed(first);
  const second = await dialIn(broker.port, login);
  await end;
  await second.publishAsync(TEMPERATURE, '37', { qos: 1 });
  expect(await house.readings()).toHaveLength(1);
});
