import { connectAsync, type MqttClient } from 'mqtt';
import { afterAll, afterEach, expect, test } from 'vitest';
import { listener, publish, startMosquitto, subscribe } from '../mosquitto.ts';
import { type House, kowhaiPlace, openBoard, openHouse, setUp } from './house.ts';
import { endAll, until } from './program.ts';

const ends: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});
afterAll(endAll);

const READER = 'a-password-for-readers';

async function houseWithReader(): Promise<{ house: House; reader: MqttClient; login: string[] }> {
  const house = await openHouse({ env: { SUNSTEEP_BROKER_READER_PASSWORD: READER } });
  const reader = await connectAsync(`mqtt://127.0.0.1:${house.broker.port}`, {
    ...{ username: 'reader', password: READER, reconnectPeriod: 0 },
  });
  ends.push(() => reader.endAsync(true));
  return { house, reader, login: ['-u', 'reader', '-P', READER] };
}

/** A minute of heat up to now, so that it belongs to the present local day. */
async function heatNow(house: House | { port: number; url: string }, tub: string) {
  const client = 'broker' in house ? await openBoard(house) : await connectAsync(house.url);
  const t = Date.now() / 1000;
  const records = [-60, -30, -1].flatMap((ago) => [
    { n: 'collector/inlet', u: 'Cel', t: t + ago, v: 36 },
    { n: 'collector/outlet', u: 'Cel', t: t + ago, v: 46 },
    { n: 'pump/flow', u: 'l/s', t: t + ago, v: 0.07 },
  ]);
  await client.publishAsync(`sunsteep/${tub}`, JSON.stringify(records), { qos: 1 });
  await client.endAsync();
}

test('the day’s gain and the open alerts are published, retained, for readers', async () => {
  const { house, login } = await houseWithReader();
  await setUp(house, { id: 'kowhai', place: kowhaiPlace });
  const first = listener(house.broker.port, [...login, '-v', '-t', 'sunsteep/#']);
  ends.push(first.stop);
  expect(await first.line((line) => line.startsWith('sunsteep/service'))).toBe(
    'sunsteep/service hearing',
  );
  await heatNow(house, 'kowhai');
  const gain = await first.line((line) => /report\/gain-today 0\.0[1-9]/.test(line));
  const { gainKwh } = (await house.now('kowhai')).day!;
  expect(Number(gain.split(' ')[1])).toBeCloseTo(gainKwh!, 2);
  const late = await subscribe(house.broker.port, [
    ...[
      ...login,
      '-v',
      '-C',
      '3',
      '-W',
      '10',
      '-t',
      'sunsteep/service',
      '-t',
      'sunsteep/+/report/#',
    ],
  ]);
  expect(late.output.trim().split('\n').sort()).toEqual([
    'sunsteep/kowhai/report/alerts []',
    gain,
    'sunsteep/service hearing',
  ]);
  await house.stop();
});

test('a reader publishes nothing, a sensor reads nothing, and nobody comes without a password', async () => {
  const { house, reader } = await houseWithReader();
  const { port, password } = house.broker;
  await expect(reader.subscribeAsync('#')).rejects.toThrow(/Subscribe error|Unspecified/);
  await expect(reader.subscribeAsync('shed/#')).rejects.toThrow(/Subscribe error|Unspecified/);
  expect(await reader.subscribeAsync('sunsteep/#')).toMatchObject([{ qos: 0 }]);
  const sensor = await openBoard(house);
  await expect(sensor.subscribeAsync('sunsteep/#')).rejects.toThrow(/Subscribe error|Unspecified/);
  await sensor.endAsync();

  const write = await publish(port, [
    ...[
      '-u',
      'reader',
      '-P',
      READER,
      '-q',
      '1',
      '-t',
      'sunsteep/kowhai/tub/temperature',
      '-m',
      '37',
    ],
  ]);
  expect(write.code).not.toBe(0);
  expect((await house.get<{ items: [] }>('/api/tubs')).items).toEqual([]);
  const bare = ['-q', '1', '-t', 'sunsteep/kowhai/tub/temperature', '-m', '37'];
  for (const login of [
    [],
    ['-u', 'sensor'],
    ['-u', 'sensor', '-P', 'wrong'],
    ['-u', 'nobody', '-P', password!],
  ]) {
    expect((await publish(port, [...login, ...bare])).code, login.join(' ')).not.toBe(0);
  }
  expect((await house.get<{ items: [] }>('/api/tubs')).items).toEqual([]);
  await house.stop();
});

test('after five failures within a minute an address waits, also with the right password', async () => {
  const { house } = await houseWithReader();
  const { port, password } = house.broker;
  const bare = ['-q', '1', '-t', 'sunsteep/kowhai/tub/temperature', '-m', '37'];
  for (let i = 0; i < 5; i++) {
    expect((await publish(port, ['-u', 'sensor', '-P', `wrong-${i}`, ...bare])).code).not.toBe(0);
  }
  expect((await publish(port, ['-u', 'sensor', '-P', password!, ...bare])).code).not.toBe(0);
  const { refused } = await house.get<{ refused: { why: string }[] }>('/api/connect');
  expect(refused).toHaveLength(6);
  await house.stop();
});

test('an outside broker is told that the service hears, and that it is gone when killed', async () => {
  const mosquitto = await startMosquitto();
  ends.push(() => mosquitto.remove());
  const ear = listener(mosquitto.port, ['-v', '-t', 'sunsteep/#']);
  ends.push(ear.stop);
  const house = await openHouse({ env: { SUNSTEEP_MQTT_URL: mosquitto.url } });
  await ear.line((line) => line === 'sunsteep/service hearing');
  await setUp(house, { id: 'kowhai', place: kowhaiPlace });
  await heatNow({ ...mosquitto }, 'kowhai');
  await ear.line((line) => /^sunsteep\/kowhai\/report\/gain-today 0\.0[1-9]/.test(line));
  await ear.line((line) => line === 'sunsteep/kowhai/report/alerts []');
  expect(await house.unreadable(), 'its own reports are no readings').toEqual([]);
  await house.kill();
  await ear.line((line) => line === 'sunsteep/service gone');
  const retained = await subscribe(mosquitto.port, [
    '-C',
    '1',
    '-W',
    '10',
    '-t',
    'sunsteep/service',
  ]);
  expect(retained.output.trim()).toBe('gone');
  const again = await openHouse({
    folder: house.folder,
    env: { SUNSTEEP_MQTT_URL: mosquitto.url },
  });
  await until(
    'hearing again',
    () => ear.lines.filter((line) => line === 'sunsteep/service hearing').length === 2,
  );
  await again.stop();
  await until(
    'gone again',
    () => ear.lines.filter((line) => line === 'sunsteep/service gone').length === 2,
  );
});

test('yesterday’s gain does not stand as today’s', async () => {
  const mosquitto = await startMosquitto();
  ends.push(() => mosquitto.remove());
  await publish(mosquitto.port, [
    '-r',
    '-q',
    '1',
    '-t',
    'sunsteep/kowhai/report/gain-today',
    '-m',
    '9.876',
  ]);
  const house = await openHouse({ env: { SUNSTEEP_MQTT_URL: mosquitto.url } });
  await setUp(house, { id: 'kowhai', place: kowhaiPlace });
  await publish(mosquitto.port, ['-q', '1', '-t', 'sunsteep/kowhai/tub/temperature', '-m', '36']);
  await until('a reading', async () => 'tub/temperature' in (await house.now('kowhai')).values);
  expect((await house.now('kowhai')).day!.gainKwh).toBeNull();
  await until('nothing retained', async () => {
    const topic = ['-t', 'sunsteep/kowhai/report/gain-today'];
    const { code } = await subscribe(mosquitto.port, [...topic, '-C', '1', '-W', '1']);
    return code !== 0;
  });
  await house.stop();
});
