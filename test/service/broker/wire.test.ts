import { connect, type MqttClient } from 'mqtt';
import { afterEach, expect, test } from 'vitest';
import type { EmbeddedBroker } from '../../../collector-service/ingest/embedded-broker.ts';
import type { Intake } from '../../../collector-service/ingest/intake.ts';
import { startMosquitto } from '../mosquitto.ts';
import {
  atTheEnd,
  type House,
  leave,
  openEmbedded,
  openHouse,
  openOutside,
  slowStore,
} from './hearing-house.ts';
import { openWire, type Wire } from './wire.ts';

/** A PUBACK tells that a reading is on disk; these tests look at both, for every message. */

/** Messages of one check; every tenth of them is unreadable. */
const COUNT = 2_000;

/** Each transaction takes so long that an acknowledgement before its end cannot be missed [ms]. */
const SLOW = 20;

const START = Date.UTC(2026, 0, 1); // ms

afterEach(leave);

function message(i: number): { topic: string; payload: string } {
  if (i % 10 === 9) return { topic: `sunsteep/kowhai/no/point-${i}`, payload: `message ${i}` };
  const t = (START + i * 1000) / 1000;
  return { topic: 'sunsteep/kowhai/tub/temperature', payload: `[{"t":${t},"v":${i / 100}}]` };
}

/** Publishes all of them at QoS 1, a hundred at a time under way. */
async function publishAll(port: number, login: object): Promise<void> {
  const client = connect({ port, host: '127.0.0.1', reconnectPeriod: 0, ...login });
  atTheEnd(() => client.end(true));
  await connected(client);
  let next = 0;
  const line = async () => {
    while (next < COUNT) {
      const { topic, payload } = message(next++);
      await client.publishAsync(topic, payload, { qos: 1 });
    }
  };
  await Promise.all(Array.from({ length: 100 }, line));
  await client.endAsync();
}

const connected = (client: MqttClient) =>
  new Promise<void>((resolve, reject) => {
    client.once('connect', () => resolve());
    client.once('error', reject);
  });

async function expectAllKept(house: House, wire: Wire): Promise<void> {
  console.info(`${wire.acknowledged.length} PUBACKs on the wire, ${wire.early.length} early`);
  expect(wire.early).toEqual([]);
  expect(new Set(wire.acknowledged).size).toBe(COUNT);
  expect(await house.readings()).toHaveLength(COUNT * 0.9);
  expect(await house.unreadable()).toHaveLength(COUNT * 0.1);
}

/** An intake that has everything acknowledged at once, and kept later. */
function hasty(intake: Intake): Intake {
  return new Proxy(intake, {
    get(target, name) {
      const member = Reflect.get(target, name);
      if (name !== 'take') return typeof member === 'function' ? member.bind(target) : member;
      return (message: Parameters<Intake['take']>[0]) => {
        target.take(message);
        return Promise.resolve();
      };
    },
  });
}

async function hearOutside(house: House, refuseVersion5: boolean): Promise<Wire> {
  // As many under way as the service lets wait, and room for all that are published meanwhile.
  const mosquitto = await startMosquitto({
    config: ['max_inflight_messages 1000', 'max_queued_messages 0'],
  });
  atTheEnd(() => mosquitto.remove());
  const { folder } = house;
  const wire = await openWire(mosquitto.port, { from: 'server', folder, refuseVersion5 });
  const broker = await openOutside(house, `mqtt://127.0.0.1:${wire.port}`);
  while (broker.health().trouble !== null) await new Promise((resolve) => setTimeout(resolve, 10));
  await publishAll(mosquitto.port, {});
  await wire.untilAcknowledged(COUNT);
  return wire;
}

async function hearEmbedded(house: House): Promise<Wire> {
  const broker: EmbeddedBroker & { port: number } = await openEmbedded(house);
  const wire = await openWire(broker.port, { from: 'client', folder: house.folder });
  await publishAll(wire.port, { username: 'sensor', password: 'hot water' });
  await wire.untilAcknowledged(COUNT);
  return wire;
}

test('outside, MQTT 5: no PUBACK goes out before its reading is on disk', async () => {
  const house = await openHouse(slowStore(SLOW));
  const wire = await hearOutside(house, false);
  expect([...wire.versions]).toEqual([5]);
  await expectAllKept(house, wire);
});

test('outside, MQTT 3.1.1: no PUBACK goes out before its reading is on disk', async () => {
  const house = await openHouse(slowStore(SLOW));
  const wire = await hearOutside(house, true);
  expect([...wire.versions]).toEqual([5, 4]);
  await expectAllKept(house, wire);
});

test('embedded: no PUBACK goes out before its reading is on disk', async () => {
  const house = await openHouse(slowStore(SLOW));
  await expectAllKept(house, await hearEmbedded(house));
});

test('an outside link that acknowledges at once is caught', async () => {
  const house = await openHouse(slowStore(SLOW));
  const wire = await hearOutside({ ...house, intake: hasty(house.intake) }, false);
  console.info(`control: ${wire.early.length} of ${wire.acknowledged.length} PUBACKs early`);
  expect(wire.early.length).toBeGreaterThan(COUNT / 2);
  await house.intake.settled();
});

test('an embedded broker that acknowledges at once is caught', async () => {
  const house = await openHouse(slowStore(SLOW));
  const wire = await hearEmbedded({ ...house, intake: hasty(house.intake) });
  console.info(`control: ${wire.early.length} of ${wire.acknowledged.length} PUBACKs early`);
  expect(wire.early.length).toBeGreaterThan(COUNT / 2);
  await house.intake.settled();
});
