import { once } from 'node:events';
import { connect } from 'node:net';
import { connectAsync } from 'mqtt';
import mqttPacket from 'mqtt-packet';
import { afterAll, expect, test } from 'vitest';
import { subscribe } from '../mosquitto.ts';
import { openBoard, openHouse } from './house.ts';
import { endAll, until } from './program.ts';

afterAll(endAll);

const PASSWORD = 'a-password-for-readers';

/** A reader that subscribes to everything, and then never looks at what comes. */
async function frozenReader(port: number) {
  const socket = connect(port, '127.0.0.1');
  socket.on('error', () => {});
  const login = { username: 'reader', password: Buffer.from(PASSWORD), clientId: 'frozen' };
  const hello = { protocolId: 'MQTT', protocolVersion: 4, clean: true, keepalive: 0 } as const;
  socket.write(mqttPacket.generate({ cmd: 'connect', ...hello, ...login }));
  const subscriptions = [{ topic: 'sunsteep/#', qos: 0 as const }];
  socket.write(mqttPacket.generate({ cmd: 'subscribe', messageId: 1, subscriptions }));
  await once(socket, 'data');
  socket.pause();
  return socket;
}

test('a message that is too long to be kept for later readers takes the one before it away', async () => {
  const house = await openHouse({ env: { SUNSTEEP_BROKER_READER_PASSWORD: PASSWORD } });
  const board = await openBoard(house);
  const retain = (topic: string, text: string) =>
    board.publishAsync(`sunsteep/kowhai/${topic}`, text, { qos: 1, retain: true });
  await retain('tub/temperature', '36');
  await retain('collector/inlet', '35');
  await retain('tub/temperature', `${' '.repeat(5000)}37`);
  const login = ['-u', 'reader', '-P', PASSWORD, '-v', '-C', '1', '-W', '10'];
  const { output } = await subscribe(house.broker.port, [
    ...login,
    '-t',
    'sunsteep/+/collector/inlet',
  ]);
  expect(output.trim()).toBe('sunsteep/kowhai/collector/inlet 35');
  const none = ['-u', 'reader', '-P', PASSWORD, '-v', '-C', '1', '-W', '1'];
  const gone = await subscribe(house.broker.port, [...none, '-t', 'sunsteep/+/tub/temperature']);
  expect(gone.code).not.toBe(0);
  await board.endAsync();
  await house.stop();
});

test('a reader that stops reading is cut off; neither boards nor other readers wait for it', async () => {
  const house = await openHouse({ env: { SUNSTEEP_BROKER_READER_PASSWORD: PASSWORD } });
  const frozen = await frozenReader(house.broker.port);
  const other = await connectAsync(`mqtt://127.0.0.1:${house.broker.port}`, {
    ...{ username: 'reader', password: PASSWORD, reconnectPeriod: 0 },
  });
  const heard: number[] = [];
  other.on('message', (topic, payload) => {
    if (topic.endsWith('/tub/temperature')) heard.push(Number(payload));
  });
  await other.subscribeAsync('sunsteep/#');
  const board = await openBoard(house);
  const send = (value: number, blanks: number) =>
    board.publishAsync('sunsteep/kowhai/tub/temperature', ' '.repeat(blanks) + value, { qos: 1 });
  const all: Promise<unknown>[] = [];
  for (let i = 0; i < 600; i++) all.push(send(i, 60_000)); // 36 MB, more than any buffer holds
  for (let i = 600; i < 9600; i++) all.push(send(i, 0));
  await Promise.all(all);
  await until('everything at the other reader', () => heard.at(-1) === 9599);
  expect(heard).toEqual(Array.from({ length: 9600 }, (_, i) => i));
  await board.endAsync();
  await other.endAsync();

  frozen.resume();
  if (!frozen.closed) await once(frozen, 'close');
  const { body } = await house.call('GET', '/health', undefined, {});
  expect(body.status).toBe('ok');
  expect(await house.stop()).toBe(0);
});
