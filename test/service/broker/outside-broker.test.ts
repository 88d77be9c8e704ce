import { execFile } from 'node:child_process';
import { createServer } from 'node:net';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { Aedes, type AedesOptions } from 'aedes';
import { afterEach, expect, test, vi } from 'vitest';
import {
  freePort,
  listener,
  type Mosquitto,
  type MosquittoOptions,
  publish,
  startMosquitto,
  subscribe,
} from '../mosquitto.ts';
import { atTheEnd, leave, openHouse, openOutside, untilLinked } from './hearing-house.ts';
import { openWire } from './wire.ts';

const TEMPERATURE = 'sunsteep/kowhai/tub/temperature';

/** A time that a payload carries itself. */
const OWN_TIME = Date.UTC(2026, 0, 15, 12); // ms
const timed = (value: number) => `[{"t":${OWN_TIME / 1000},"v":${value}}]`;

afterEach(leave);

async function open(options: MosquittoOptions = {}): Promise<Mosquitto> {
  const mosquitto = await startMosquitto(options);
  atTheEnd(() => mosquitto.remove());
  return mosquitto;
}

/** Publishes at QoS 1 with the C client. */
async function tell(broker: Mosquitto, topic: string, payload: string, ...more: string[]) {
  const { code, output } = await publish(broker.port, [
    ...['-q', '1', '-t', topic, '-m', payload],
    ...more,
  ]);
  if (code !== 0) throw new Error(`mosquitto_pub ended with ${code}: ${output}`);
}

test('a live publish is a reading, whether or not it is to be retained', async () => {
  const broker = await open();
  const house = await openHouse();
  await openOutside(house, broker.url);
  await tell(broker, TEMPERATURE, '37.4');
  await house.until(async () => (await house.readings()).length === 1);
  await tell(broker, TEMPERATURE, '37.5', '-r');
  await house.until(async () => (await house.readings()).length === 2);
  expect((await house.readings()).map(({ value }) => value)).toEqual([37.4, 37.5]);
  expect(house.intake.lastKnown.of('kowhai').size).toBe(0);
});

test('what the broker had before is last known, and a reading only with its own time', async () => {
  const broker = await open();
  await tell(broker, TEMPERATURE, '37.4', '-r');
  await tell(broker, 'sunsteep/kowhai/collector/temperature', timed(60), '-r');
  const house = await openHouse();
  await openOutside(house, broker.url);
  await tell(broker, 'sunsteep/kowhai/pump/running', 'on');
  await house.until(async () => (await house.readings()).length === 2);
  expect(await house.readings()).toMatchObject([
    { point: 'collector/temperature', t: OWN_TIME, value: 60 },
    { point: 'pump/running', value: 1 },
  ]);
  expect(house.intake.lastKnown.of('kowhai').get('tub/temperature')).toMatchObject({ value: 37.4 });
  expect(await house.unreadable()).toEqual([]);
});

test.each([
  ['5', false],
  ['3.1.1', true],
])('MQTT %s: what waited is a reading only with its own time', async (_version, refuseVersion5) => {
  const broker = await open();
  const house = await openHouse();
  const wire = await openWire(broker.port, {
    from: 'server',
    folder: house.folder,
    refuseVersion5,
  });
  const url = `mqtt://127.0.0.1:${wire.port}`;
  const first = await openOutside(house, url);
  await untilLinked(first);
  await first.close();
  for (const value of [30, 31, 32]) await tell(broker, TEMPERATURE, String(value));
  await tell(broker, TEMPERATURE, timed(33));
  await tell(broker, TEMPERATURE, '[{"t":-5,"v":34}]');

  const second = await openOutside(house, url);
  await untilLinked(second);
  await house.until(async () => (await house.unreadable())[0]?.count === 4);
  expect(await house.unreadable()).toMatchObject([{ topic: TEMPERATURE, why: 'time unknown' }]);
  expect(await house.readings()).toMatchObject([{ t: OWN_TIME, value: 33 }]);

  await untilLive(broker, house);
  expect(await house.unreadable()).toMatchObject([{ why: 'time unknown' }]);
});

/** Publishes plain numbers until one of them is a reading: the marker's echo has come. */
async function untilLive(broker: Mosquitto, house: Awaited<ReturnType<typeof openHouse>>) {
  const before = (await house.readings()).length;
  while ((await house.readings()).length === before) await tell(broker, TEMPERATURE, '35');
}

test('a marker that is lost on the way is sent again', async () => {
  const broker = await open();
  const house = await openHouse();
  const first = await openOutside(house, broker.url);
  await untilLinked(first);
  await first.close();
  await tell(broker, TEMPERATURE, '30');
  const { folder } = house;
  const wire = await openWire(broker.port, { from: 'server', folder, loseMarkers: 1 });
  await openOutside(house, `mqtt://127.0.0.1:${wire.port}`);
  await house.until(async () => (await house.unreadable()).length > 0);
  await tell(broker, TEMPERATURE, '31');
  await house.until(async () => (await house.unreadable())[0]?.count === 2);
  await untilLive(broker, house);
});

test('a broker that goes is told of in words, and heard again when it is back', async () => {
  const broker = await open();
  const house = await openHouse();
  const hearing = await openOutside(house, broker.url);
  await untilLinked(hearing);
  expect(hearing.health().trouble).toBeNull();
  await broker.stop();
  await untilLinked(hearing, false);
  expect(hearing.health().trouble).toMatch(
    /^The broker mqtt:\/\/127\.0\.0\.1:\d+ (ended the connection|cannot be reached)/,
  );
  await broker.start();
  await untilLinked(hearing);
  await untilLive(broker, house);
});

test('a broker that is not there at the start is tried until it is', async () => {
  const broker = await open();
  await broker.stop();
  const house = await openHouse();
  const hearing = await openOutside(house, broker.url);
  expect(hearing.health().trouble).toBe(
    `The broker ${broker.url} cannot be reached: nothing listens on that port.`,
  );
  await broker.start();
  await untilLinked(hearing);
  await tell(broker, TEMPERATURE, '37');
  await house.until(async () => (await house.readings()).length === 1);
});

test('a wrong password is told with the settings to check', async () => {
  const broker = await open({ passwords: { tubs: 'hot water' } });
  const house = await openHouse();
  const wrong = await openOutside(house, broker.url, { username: 'tubs', password: 'cold' });
  expect(wrong.health().trouble).toBe(
    `The broker ${broker.url} refuses the user name or the password: check SUNSTEEP_MQTT_USERNAME and SUNSTEEP_MQTT_PASSWORD.`,
  );
  await wrong.close();
  const right = await openOutside(house, broker.url, { username: 'tubs', password: 'hot water' });
  await untilLinked(right);
});

test('over TLS the certificate of the broker has to be trusted', async () => {
  const pem = (name: string) => fileURLToPath(new URL(`../serve/tls/${name}.pem`, import.meta.url));
  const port = await freePort();
  await open({
    config: [`listener ${port} 127.0.0.1`, `certfile ${pem('cert')}`, `keyfile ${pem('key')}`],
  });
  const hearing = await openOutside(await openHouse(), `mqtts://localhost:${port}`);
  expect(hearing.health().trouble).toBe(
    `The broker mqtts://localhost:${port} has a certificate that is not trusted here (DEPTH_ZERO_SELF_SIGNED_CERT).`,
  );
  const trusting = (host: string) =>
    promisify(execFile)(
      process.execPath,
      ['--import', 'tsx', secureClient, `mqtts://${host}:${port}`],
      { env: { ...process.env, NODE_EXTRA_CA_CERTS: pem('cert') } },
    );
  expect((await trusting('localhost')).stdout).toBe('connected\n');
  expect((await trusting('127.0.0.1')).stdout).toBe('connected\n');
});

const secureClient = fileURLToPath(new URL('secure-client.ts', import.meta.url));

test('a name that nobody knows is told', async () => {
  const house = await openHouse();
  const hearing = await openOutside(house, 'mqtt://broker.invalid');
  expect(hearing.health().trouble).toMatch(
    /^The broker mqtt:\/\/broker\.invalid:1883 cannot be reached: its name/,
  );
});

/** A broker that knows MQTT 3.1.1 alone, with rights of its own. */
async function openOther(rights: AedesOptions): Promise<string> {
  const aedes = await Aedes.createBroker(rights);
  const server = createServer((socket) => aedes.handle(socket));
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  atTheEnd(() => new Promise((closed) => server.close(closed)));
  atTheEnd(() => new Promise<void>((closed) => aedes.close(closed)));
  return `mqtt://127.0.0.1:${(server.address() as { port: number }).port}`;
}

test('a broker that does not let the service subscribe is told of', async () => {
  const url = await openOther({ authorizeSubscribe: (_client, _filter, done) => done(null, null) });
  const hearing = await openOutside(await openHouse(), url);
  const says = `The broker ${url} does not let the service subscribe to sunsteep/#.`;
  while (hearing.health().trouble !== says) await new Promise((resolve) => setTimeout(resolve, 10));
});

test('a broker that hands no marker back is told of after a minute', async () => {
  vi.useFakeTimers({ toFake: ['setInterval'] });
  atTheEnd(() => vi.useRealTimers());
  const broker = await open();
  const house = await openHouse();
  const { folder } = house;
  const wire = await openWire(broker.port, { from: 'server', folder, loseMarkers: Infinity });
  const url = `mqtt://127.0.0.1:${wire.port}`;
  const hearing = await openOutside(house, url);
  await untilLinked(hearing);
  vi.advanceTimersByTime(54_999);
  expect(hearing.health().trouble).toBeNull();
  vi.advanceTimersByTime(1);
  expect(hearing.health().trouble).toBe(
    `The broker ${url} does not hand back what the service publishes to sunsteep/service/marker: let its user write and read there.`,
  );
});

test.each([
  ['70 kB', 70_000],
  ['1 MB', 1_000_000],
])('a payload of %s is acknowledged, unreadable, and ends nothing', async (_name, size) => {
  const broker = await open();
  const house = await openHouse();
  const wire = await openWire(broker.port, { from: 'server', folder: house.folder });
  await untilLinked(await openOutside(house, `mqtt://127.0.0.1:${wire.port}`));
  const great = publish(broker.port, ['-q', '1', '-t', TEMPERATURE, '-s'], '7'.repeat(size));
  expect(await great).toMatchObject({ code: 0 });
  await tell(broker, TEMPERATURE, '37.4');
  await wire.untilAcknowledged(2);
  expect(wire.early).toEqual([]);
  expect(await house.unreadable()).toMatchObject([
    { why: 'the payload is over 64 KiB', payload: '7'.repeat(200), count: 1 },
  ]);
  expect(await house.readings()).toMatchObject([{ value: 37.4 }]);
});

test('the state of the service is there for others, and gone when it is', async () => {
  const broker = await open();
  const house = await openHouse();
  const wire = await openWire(broker.port, { from: 'server', folder: house.folder });
  const hearing = await openOutside(house, `mqtt://127.0.0.1:${wire.port}`);
  await untilLinked(hearing);
  const heard = listener(broker.port, ['-t', 'sunsteep/service']);
  atTheEnd(() => heard.stop());
  const says = (state: string, times: number) =>
    heard.line(() => heard.lines.filter((line) => line === state).length >= times);
  await says('hearing', 1);
  wire.cut();
  await says('gone', 1);
  await says('hearing', 2);
  await hearing.close();
  await says('gone', 2);
  const read = await subscribe(broker.port, ['-t', 'sunsteep/service', '-C', '1', '-W', '20']);
  expect(read.output).toBe('gone\n');
});

test('reports are retained, and neither they nor markers are readings', async () => {
  const broker = await open();
  const house = await openHouse();
  const hearing = await openOutside(house, broker.url);
  await untilLinked(hearing);
  hearing.report('sunsteep/kowhai/report/gain-today', '3.2');
  const topic = 'sunsteep/kowhai/report/gain-today';
  const read = await subscribe(broker.port, ['-t', topic, '-C', '1', '-W', '20']);
  expect(read.output).toBe('3.2\n');
  await tell(broker, TEMPERATURE, '37');
  await house.until(async () => (await house.readings()).length === 1);
  expect(await house.unreadable()).toEqual([]);
});

test('wiring is subscribed to when it comes, and no longer when it goes', async () => {
  const broker = await open();
  const house = await openHouse();
  const hearing = await openOutside(house, broker.url);
  await untilLinked(hearing);
  const wire = { topic: 'shed/+/state', pointer: '/t', tub: '{1}', point: 'tub/temperature' };
  house.intake.setUp({ tubs: [], wiring: [wire] });
  hearing.rewire([wire.topic, 'shed/kowhai/state', 'shed/kowhai/alive']);
  while ((await house.readings()).length === 0) {
    await tell(broker, 'shed/kowhai/state', '{"t":37}');
  }
  house.intake.setUp({ tubs: [], wiring: [] });
  hearing.rewire([]);
  await tell(broker, 'shed/kowhai/state', '{"t":38}');
  await tell(broker, 'sunsteep/kowhai/pump/running', '1');
  await house.until(async () =>
    (await house.readings()).some(({ point }) => point === 'pump/running'),
  );
  expect(await house.unreadable()).toEqual([]);
  expect((await house.readings()).map(({ value }) => value)).not.toContain(38);
});

test('what the store refuses is not acknowledged, and comes again', async () => {
  const broker = await open();
  const house = await openHouse();
  const hearing = await openOutside(house, broker.url);
  await untilLinked(hearing);
  house.intake.hold(true);
  await tell(broker, TEMPERATURE, timed(37));
  await untilLinked(hearing, false);
  expect(hearing.health().trouble).toBe(
    `The broker ${broker.url} has to wait: what it brings cannot be kept now.`,
  );
  expect(house.intake.health().keeping).toBe(false);
  house.intake.hold(false);
  await house.until(async () => (await house.readings()).length === 1);
  expect(await house.readings()).toMatchObject([{ t: OWN_TIME, value: 37 }]);
});

test('whoever listens hears every topic, and the service no message twice', async () => {
  const broker = await open();
  const house = await openHouse();
  const hearing = await openOutside(house, broker.url);
  await untilLinked(hearing);
  await tell(broker, 'shed/old', 'kept', '-r');
  const heard: { topic: string; payload: string; earlier: boolean }[] = [];
  let tellNews: () => void = () => {};
  const stop = hearing.listen(({ topic, payload, earlier }) => {
    heard.push({ topic, payload: Buffer.from(payload).toString(), earlier });
    tellNews();
  });
  const untilHeard = async (topic: string) => {
    while (!heard.some((message) => message.topic === topic)) {
      await new Promise<void>((resolve) => {
        tellNews = resolve;
      });
    }
  };
  await untilHeard('shed/old');
  await tell(broker, 'shed/new', '{"t":1}');
  await untilHeard('shed/new');
  await tell(broker, TEMPERATURE, '37');
  await untilHeard(TEMPERATURE);
  await house.until(async () => (await house.readings()).length > 0);
  stop();
  expect(heard).toContainEqual({ topic: 'shed/old', payload: 'kept', earlier: true });
  expect(heard).toContainEqual({ topic: 'shed/new', payload: '{"t":1}', earlier: false });
  expect(await house.readings()).toHaveLength(1);
  expect(await house.unreadable()).toEqual([]);
});

test('closing a link that never stood ends at once', async () => {
  const house = await openHouse();
  const hearing = await openOutside(house, `mqtt://127.0.0.1:${await freePort()}`);
  await hearing.close();
});
