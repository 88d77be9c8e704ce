import { connectAsync } from 'mqtt';
import { afterAll, expect, onTestFinished, test } from 'vitest';
import { publish, startMosquitto, subscribe } from '../mosquitto.ts';
import { dayWhen, openBoard, openHouse, readingsOf, settled, setUp } from './house.ts';
import { endAll, until } from './program.ts';
import { DATE, metered, publishPacks, sunnyHours } from './sunny-hours.ts';

afterAll(endAll);

test('a tub goes with all its readings only when that was asked twice; then it begins anew', async () => {
  const house = await openHouse();
  await setUp(house, metered('kowhai'), metered('rata'));
  const board = await openBoard(house);
  for (const tub of ['kowhai', 'rata']) await publishPacks(board, tub, sunnyHours());
  await board.publishAsync('sunsteep/kowhai/tub/temperature', 'warm', { qos: 1 });
  await settled(house);
  const before = await house.day('kowhai', DATE);
  expect((await house.call('DELETE', '/api/tubs/kowhai')).status).toBe(409);
  expect((await house.call('DELETE', '/api/tubs/kowhai?confirm=rata')).status).toBe(409);
  expect(await house.day('kowhai', DATE)).toEqual(before);

  expect((await house.call('DELETE', '/api/tubs/kowhai?confirm=kowhai')).status).toBe(204);
  for (const route of ['now', 'days', `days/${DATE}`, 'months', 'readings']) {
    expect((await house.call('GET', `/api/tubs/kowhai/${route}`)).status, route).toBe(404);
  }
  expect(await house.unreadable()).toEqual([]);
  expect(await house.get('/api/tubs')).toMatchObject({ items: [{ id: 'rata' }] });
  expect((await house.get<{ tubs: object[] }>('/api/setup')).tubs).toHaveLength(1);
  expect(await house.day('rata', DATE)).toEqual(before);

  const half = sunnyHours().slice(0, 1000);
  await publishPacks(board, 'kowhai', half);
  expect(await house.get('/api/tubs')).toMatchObject({
    items: [{ id: 'rata' }, { id: 'kowhai', setUp: false }],
  });
  await setUp(house, metered('kowhai'));
  const day = await dayWhen(house, 'kowhai', DATE, ({ litres }) => (litres ?? 0) > 0);
  expect(day.litres).toBeLessThan(before.litres!);
  const kept = await readingsOf(house, 'kowhai', 'from=2024-01-01T00:00:00Z');
  expect(kept).toHaveLength(half.length);
  await board.endAsync();
  await house.stop();
});

test('of a tub that goes nothing stays with readers, nor as last known', async () => {
  const mosquitto = await startMosquitto();
  onTestFinished(() => mosquitto.remove());
  await publish(mosquitto.port, [
    '-r',
    '-q',
    '1',
    '-t',
    'sunsteep/kowhai/collector/inlet',
    '-m',
    '30',
  ]);
  const house = await openHouse({ env: { SUNSTEEP_MQTT_URL: mosquitto.url } });
  const board = await connectAsync(mosquitto.url);
  await board.publishAsync('sunsteep/kowhai/tub/temperature', '36', { qos: 1 });
  const retained = () =>
    subscribe(mosquitto.port, ['-t', 'sunsteep/kowhai/report/#', '-C', '1', '-W', '1']);
  await until('a report', async () => (await retained()).code === 0);
  expect((await house.call('DELETE', '/api/tubs/kowhai?confirm=kowhai')).status).toBe(204);
  expect((await house.call('GET', '/api/tubs/kowhai/now')).status).toBe(404);
  await until('nothing retained', async () => (await retained()).code !== 0);
  await board.endAsync();
  await house.stop();
});
