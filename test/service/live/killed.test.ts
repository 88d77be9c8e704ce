import { afterAll, afterEach, expect, test } from 'vitest';
import { chanceOf } from '../../store/chance.ts';
import { freePort, type Mosquitto, publish, startMosquitto } from '../mosquitto.ts';
import { type House, kowhaiPlace, openHouse, readingsOf, setUp } from './house.ts';
import { killAgain } from './kills.ts';
import { endAll, newFolder, until } from './program.ts';

const ends: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});
afterAll(endAll);

const SEED = 20_261_125;
const KILLS = 5; // with each of both

const YEARS = 'from=2020-01-01T00:00:00Z&to=2100-01-01T00:00:00Z';

test.each(['its own broker', 'Mosquitto'] as const)(
  'killed again and again with %s, the service has everything that was acknowledged',
  async (broker) => {
    const told = await killAgain(broker, KILLS, chanceOf(SEED));
    console.log(`seed ${SEED}, ${broker}: ${KILLS} kills, ${JSON.stringify(told)}, none missing`);
    expect(told.acknowledged).toBeGreaterThan(KILLS * 10);
  },
);

async function outsideHouse(options: { folder?: string; mosquitto: Mosquitto }): Promise<House> {
  const { folder = newFolder(), mosquitto } = options;
  const house = await openHouse({ folder, env: { SUNSTEEP_MQTT_URL: mosquitto.url } });
  await until('the link to the broker', async () => {
    const { body } = await house.call('GET', '/health', undefined, {});
    return body.broker.status === 'ok';
  });
  return house;
}

async function mosquittoHere(): Promise<Mosquitto> {
  const mosquitto = await startMosquitto({ config: ['max_queued_messages 0'] });
  ends.push(() => mosquitto.remove());
  return mosquitto;
}

test('what waited at an outside broker is a reading only with a time of its own', async () => {
  const mosquitto = await mosquittoHere();
  const first = await outsideHouse({ mosquitto });
  await setUp(first, { id: 'kowhai', place: kowhaiPlace });
  await first.stop();
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  const send = (topic: string, payload: string, ...more: string[]) =>
    publish(mosquitto.port, ['-q', '1', '-t', `sunsteep/kowhai${topic}`, '-m', payload, ...more]);
  await send('/tub/temperature', '36.5');
  await send('/collector/inlet', JSON.stringify([{ u: 'Cel', t: -5, v: 35 }]));
  await send('', JSON.stringify([{ n: 'collector/outlet', u: 'Cel', t, v: 41 }]));
  const house = await outsideHouse({ folder: first.folder, mosquitto });
  await until('what waited', async () => (await house.unreadable()).length === 2);
  expect((await house.unreadable()).map(({ topic, why }) => ({ topic, why }))).toEqual(
    expect.arrayContaining([
      { topic: 'sunsteep/kowhai/tub/temperature', why: 'time unknown' },
      { topic: 'sunsteep/kowhai/collector/inlet', why: 'time unknown' },
    ]),
  );
  expect((await house.now('kowhai')).values).toMatchObject({
    'collector/outlet': { value: 41, time: '2024-03-02T00:00:00.000Z' },
  });
  await send('/tub/temperature', '37');
  await until('a live reading', async () => {
    const { values } = await house.now('kowhai');
    return values['tub/temperature']?.value === 37 && values['tub/temperature'].time !== null;
  });
  await house.stop();
});

test('what an outside broker had retained is last known, and a reading only with a time', async () => {
  const mosquitto = await mosquittoHere();
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  const retain = (topic: string, payload: string) =>
    publish(mosquitto.port, ['-r', '-q', '1', '-t', `sunsteep/kowhai/${topic}`, '-m', payload]);
  await retain('tub/temperature', '36.5');
  await retain('collector/inlet', JSON.stringify([{ u: 'Cel', t, v: 35 }]));
  const house = await outsideHouse({ mosquitto });
  const { values } = await until('what was retained', async () => {
    const { status, body } = await house.call('GET', '/api/tubs/kowhai/now');
    return status === 200 && Object.keys(body.values).length === 2 ? body : null;
  });
  expect(values).toMatchObject({
    'tub/temperature': { value: 36.5, time: null },
    'collector/inlet': { value: 35, time: '2024-03-02T00:00:00.000Z' },
  });
  expect(await readingsOf(house, 'kowhai', YEARS)).toMatchObject([{ point: 'collector/inlet' }]);
  await retain('tub/temperature', '36.6');
  await until('the live one', async () => {
    const now = await house.now('kowhai');
    return now.values['tub/temperature']?.time;
  });
  expect(await house.unreadable()).toEqual([]);
  await house.stop();
});

test('an outside broker that ends and comes back is found again, and health tells both', async () => {
  const mosquitto = await mosquittoHere();
  const house = await outsideHouse({ mosquitto });
  await mosquitto.stop();
  const { body } = await until('the broken link', async () => {
    const answer = await house.call('GET', '/health', undefined, {});
    return answer.body.status === 'degraded' && answer;
  });
  expect(body.broker.status).toBe('trouble');
  expect(body.reasons.join()).toMatch(/broker/);
  await mosquitto.start();
  await until('the link again', async () => {
    const answer = await house.call('GET', '/health', undefined, {});
    return answer.body.status === 'ok';
  });
  await publish(mosquitto.port, ['-q', '1', '-t', 'sunsteep/back/tub/temperature', '-m', '36']);
  await until('a reading', async () => {
    const { status, body: now } = await house.call('GET', '/api/tubs/back/now');
    return status === 200 && now.values['tub/temperature']?.time !== null;
  });
  await house.stop();
});

test('a service starts, serves and says so while its outside broker is away', async () => {
  const port = await freePort();
  const house = await openHouse({ env: { SUNSTEEP_MQTT_URL: `mqtt://127.0.0.1:${port}` } });
  const { status, body } = await house.call('GET', '/health', undefined, {});
  expect({ status, health: body.status }).toEqual({ status: 200, health: 'degraded' });
  expect(await house.stop()).toBe(0);
});
