import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { TubSetup } from '../../../model/setup.ts';
import {
  dayWhen,
  type House,
  kowhaiPlace,
  openBoard,
  openHouse,
  publish,
  readingsOf,
  setUp,
} from './house.ts';
import { endAll } from './program.ts';

let house: House;
let board: MqttClient;

beforeAll(async () => {
  house = await openHouse();
  board = await openBoard(house);
});
afterAll(async () => {
  await board.endAsync();
  await endAll();
});

const send = (topic: string, payload: string, retain = false) =>
  board.publishAsync(topic, payload, { qos: 1, retain });
const sendPack = (topic: string, pack: unknown[]) => send(topic, JSON.stringify(pack));

/** A tub's values by point, as they were read, in the order of their times. */
async function valuesOf(tub: string): Promise<Record<string, number[]>> {
  const values: Record<string, number[]> = {};
  const all = 'from=2020-01-01T00:00:00Z&to=2100-01-01T00:00:00Z';
  for (const { point, value } of await readingsOf(house, tub, all)) {
    values[point] = [...(values[point] ?? []), value];
  }
  return values;
}

const unreadableOf = async (tub: string) =>
  (await house.unreadable()).filter(({ topic }) => topic.startsWith(`sunsteep/${tub}`));

test('a tub appears with its first plain number, and has traces but no days before it has a place', async () => {
  const before = Date.now();
  await publish(house, 'sunsteep/first/tub/temperature', '-m', '37.4');
  const after = Date.now();
  const { items } = await house.get<{ items: unknown[] }>('/api/tubs');
  expect(items).toContainEqual({ id: 'first', name: 'first', setUp: false });
  const { values, state, day, powerW } = await house.now('first');
  expect(values['tub/temperature']?.value).toBe(37.4);
  const stamped = Date.parse(values['tub/temperature']!.time!);
  expect(stamped).toBeGreaterThanOrEqual(before);
  expect(stamped).toBeLessThanOrEqual(after);
  expect({ state, day, powerW }).toEqual({ state: 'no-setup', day: null, powerW: null });
  expect(await house.days('first')).toEqual([]);
  expect((await house.get<{ items: [] }>('/api/tubs/first/months')).items).toEqual([]);
  const today = new Date().toISOString().slice(0, 10);
  expect((await house.call('GET', `/api/tubs/first/days/${today}`)).status).toBe(404);
  expect((await house.call('GET', '/api/tubs/never-heard/days')).status).toBe(404);
  expect(await valuesOf('first')).toEqual({ 'tub/temperature': [37.4] });
});

test('a tub’s first set-up holds for always, so that what was heard before it becomes days', async () => {
  const noon = Date.parse('2024-03-02T00:00:00Z') / 1000; // 13:00 in Nelson
  await sendPack('sunsteep/early', [
    { bt: noon, n: 'collector/inlet', u: 'Cel', v: 36 },
    { n: 'collector/outlet', u: 'Cel', v: 40 },
    { n: 'pump/flow', u: 'l/s', v: 0.06 },
    { n: 'tub/temperature', u: 'Cel', v: 36 },
    { n: 'collector/inlet', u: 'Cel', t: 300, v: 36 },
    { n: 'collector/outlet', u: 'Cel', t: 300, v: 40 },
  ]);
  expect(await house.days('early')).toEqual([]);
  const setup = await house.get<{ tubs: TubSetup[] }>('/api/setup');
  const tubs = [...setup.tubs, { id: 'early', place: kowhaiPlace }];
  expect((await house.call('PUT', '/api/setup', { ...setup, tubs })).status).toBe(200);
  const day = await dayWhen(house, 'early', '2024-03-02', ({ quarters }) => quarters.length > 0);
  expect(day.gainKwh).toBeGreaterThan(0.07);
  expect(day.litres).toBeGreaterThanOrEqual(18);
  expect(day.quarters[0]!.from).toBe('2024-03-02T00:00:00.000Z');
  expect((await house.days('early')).map(({ date }) => date)).toEqual(['2024-03-02']);
  const months = await house.get<{ items: { month: string; days: number }[] }>(
    '/api/tubs/early/months',
  );
  expect(months.items).toMatchObject([{ month: '2024-03', days: 1, gainKwh: day.gainKwh }]);
});

test('plain numbers and, for switches, words are read in every usual way of writing', async () => {
  for (const text of ['37.4', ' 38 \n', '+36.5', '-0.5', '3.7e1', '1.2E1', '.5', '7.']) {
    await send('sunsteep/plain/tub/temperature', text);
  }
  for (const text of ['on', 'OFF', 'True', 'false', '1', '0']) {
    await send('sunsteep/plain/pump/running', text);
  }
  const { values } = await house.now('plain');
  expect(values['pump/running']?.value).toBe(0);
  const { points } = await house.get<{
    points: Record<string, { count: number; buckets: { min: number; max: number }[] }>;
  }>('/api/tubs/plain/readings?buckets=1');
  // two within the same millisecond are one reading, of which the greater stays
  expect(points['tub/temperature']!.buckets).toMatchObject([{ min: -0.5, max: 38 }]);
  expect(await unreadableOf('plain')).toEqual([]);
});

test('SenML is read with its base fields and in any unit that suits the point', async () => {
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  await sendPack('sunsteep/units', [
    { bn: 'collector/', bt: t, bu: 'Cel', bv: 10, n: 'inlet', v: 26 },
    { n: 'outlet', v: 30.5 },
    { bn: 'pump/', bv: 0, n: 'flow', u: 'l/s', v: 0.07 },
    { n: 'volume', u: 'm3', v: 1.25 },
    { n: 'power', u: 'kW', v: 0.013 },
    { n: 'voltage', u: 'mV', v: 12_500 },
    { n: 'running', u: '/', vb: true },
    { bn: '', n: 'outdoor/temperature', u: 'K', v: 290.15 },
    { n: 'collector/irradiance', u: 'W/m2', v: 801 },
    { n: 'backup/energy', u: 'J', v: 7_200_000 },
    { n: 'pump/flow', u: 'm3/s', t: 60, v: 0.00005 },
    { n: 'backup/energy', u: 'kWh', t: 60, v: 2.5 },
  ]);
  await sendPack('sunsteep/units/tub/temperature', [{ u: 'K', t, v: 310.65 }]);
  const values = await valuesOf('units');
  const rounded = Object.entries(values).map(([point, all]) => [
    point,
    all.map((value) => Number(value.toFixed(9))),
  ]);
  expect(Object.fromEntries(rounded)).toEqual({
    'backup/energy': [2, 2.5],
    'collector/inlet': [36],
    'collector/irradiance': [801],
    'collector/outlet': [40.5],
    'outdoor/temperature': [17],
    'pump/flow': [4.2, 3],
    'pump/power': [13],
    'pump/running': [1],
    'pump/voltage': [12.5],
    'pump/volume': [1250],
    'tub/temperature': [37.5],
  });
  expect(await unreadableOf('units')).toEqual([]);
});

test('a unit that does not suit is refused record by record', async () => {
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  await sendPack('sunsteep/unsuited', [
    { bt: t, n: 'tub/temperature', u: 'kg', v: 36 },
    { n: 'collector/temperature', u: 'F', v: 104 }, // farad
    { n: 'pump/flow', u: 'Cel', v: 3 },
    { n: 'collector/inlet', u: 'furlong', v: 3 },
    { n: 'collector/outlet', u: 'Cel', v: 41 },
  ]);
  expect(await valuesOf('unsuited')).toEqual({ 'collector/outlet': [41] });
  const whys = (await unreadableOf('unsuited')).map(({ why }) => why).sort();
  expect(whys).toEqual(['the unit does not suit the point', 'the unit is not one of SenML']);
});

test('a relative time counts from the arrival', async () => {
  const before = Date.now();
  await sendPack('sunsteep/relative', [{ n: 'tub/temperature', u: 'Cel', t: -120, v: 36 }]);
  const time = Date.parse((await house.now('relative')).values['tub/temperature']!.time!);
  expect(time + 120_000).toBeGreaterThanOrEqual(before - 1);
  expect(time + 120_000).toBeLessThanOrEqual(Date.now() + 1);
});

test('wired JSON finds its tub and point in the topic, its value and time in the payload', async () => {
  const setup = await house.get<object>('/api/setup');
  const wiring = [
    {
      topic: 'shed/+/state',
      pointer: '/ds/0/t',
      unit: 'degF',
      tub: '{1}',
      point: 'tub/temperature',
    },
    {
      ...{ topic: 'roof/+/+', tub: 'wired-{1}', point: 'collector/{2}/temperature' },
      ...{ pointer: '/a~1b', timePointer: '/at', timeFormat: 'unix-ms', scale: 0.1, offset: 1 },
    },
    { topic: 'meter/flow', tub: 'wired-a', point: 'pump/flow', unit: 'l/h' },
    {
      ...{ topic: 'meter/when', tub: 'wired-a', point: 'outdoor/temperature' },
      ...{ pointer: '/v', timePointer: '/t', timeFormat: 'iso8601' },
    },
  ];
  const put = await house.call('PUT', '/api/setup', { ...setup, wiring });
  expect(put.status, put.text).toBe(200);
  await send('shed/wired-a/state', '{"ds":[{"t":"99.5"}]}');
  await send('shed/wired-b/state', '{"ds":[{"t":100.4}]}');
  await send('roof/a/2', JSON.stringify({ 'a/b': 600, at: Date.parse('2024-03-02T00:00:00Z') }));
  await send('meter/flow', '252');
  await send('meter/when', '{"v": 17, "t": "2024-03-02T13:00:00+13:00"}');
  const values = await valuesOf('wired-a');
  expect(values['tub/temperature']![0]).toBeCloseTo(37.5, 9);
  expect(values['collector/2/temperature']).toEqual([61]);
  expect(values['pump/flow']![0]).toBeCloseTo(4.2, 9);
  expect((await house.now('wired-a')).values).toMatchObject({
    'collector/2/temperature': { time: '2024-03-02T00:00:00.000Z' },
    'outdoor/temperature': { value: 17, time: '2024-03-02T00:00:00.000Z' },
  });
  expect((await valuesOf('wired-b'))['tub/temperature']![0]).toBeCloseTo(38, 9);
});

test('what is published to be retained is a reading when it is published, with or without a time', async () => {
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  await send('sunsteep/kept/tub/temperature', '37.5', true);
  await send('sunsteep/kept/collector/inlet', JSON.stringify([{ t, v: 36 }]), true);
  const { values } = await house.now('kept');
  expect(values['tub/temperature']!.time).not.toBeNull();
  expect(values['collector/inlet']).toMatchObject({ value: 36, time: '2024-03-02T00:00:00.000Z' });
});

test('readings may come late, out of order and again; of two values the greater stays', async () => {
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  const of = (seconds: number, v: number) =>
    sendPack('sunsteep/again/tub/temperature', [{ u: 'Cel', t: t + seconds, v }]);
  await of(120, 37.2);
  await of(0, 37);
  await of(60, 37.1);
  await of(60, 37.1);
  await of(120, 36);
  await of(0, 37.6);
  await of(-3600, 36.9);
  expect(await valuesOf('again')).toEqual({ 'tub/temperature': [36.9, 37.6, 37.1, 37.2] });
});

test('a time up to five minutes ahead of the clock is a reading, a later one is not', async () => {
  const ahead = (minutes: number) => Date.now() / 1000 + 60 * minutes;
  await sendPack('sunsteep/ahead/tub/temperature', [{ t: ahead(4), u: 'Cel', v: 36 }]);
  await sendPack('sunsteep/ahead/tub/temperature', [{ t: ahead(6), u: 'Cel', v: 37 }]);
  await sendPack('sunsteep/ahead/tub/temperature', [{ t: 2 ** 32 - 1, u: 'Cel', v: 38 }]); // 2106
  expect(await valuesOf('ahead')).toEqual({ 'tub/temperature': [36] });
  expect(await unreadableOf('ahead')).toMatchObject([
    {
      topic: 'sunsteep/ahead/tub/temperature',
      why: 'the time is more than 5 minutes ahead of the clock',
      count: 2,
    },
  ]);
});

test('readings come in pages, and in buckets whose counts are exact where their ends cut a quarter', async () => {
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  const pack = Array.from({ length: 700 }, (_, i) => ({ t: t + 7 * i, v: 20 + (i % 10) }));
  await sendPack('sunsteep/many/tub/temperature', pack);
  const from = new Date((t + 100) * 1000).toISOString(); // between readings 14 and 15
  const to = new Date((t + 4000) * 1000).toISOString(); // before reading 572
  const url = `/api/tubs/many/readings?points=tub/temperature&from=${from}&to=${to}`;
  const { points } = await house.get<{
    points: Record<string, { count: number; buckets: { count: number; from: string }[] }>;
  }>(`${url}&buckets=13`);
  const { count, buckets } = points['tub/temperature']!;
  expect(count).toBe(572 - 15);
  expect(buckets.reduce((sum, bucket) => sum + bucket.count, 0)).toBe(count);
  expect(buckets).toHaveLength(13);
  const listed = await readingsOf(house, 'many', `points=tub/temperature&from=${from}&to=${to}`);
  expect(listed).toHaveLength(count);
  expect(listed.every(({ time }, i) => i === 0 || time > listed[i - 1]!.time)).toBe(true);
});

test('a set-up for a tub that was never heard shows it, without values', async () => {
  await setUp(house, { id: 'quiet', name: 'Quiet', place: kowhaiPlace });
  const { items } = await house.get<{ items: unknown[] }>('/api/tubs');
  expect(items).toContainEqual({ id: 'quiet', name: 'Quiet', setUp: true });
  const { values, state, day } = await house.now('quiet');
  expect({ values, state }).toEqual({ values: {}, state: 'no-reading' });
  expect(day).toMatchObject({ gainKwh: null, basis: null, coverage: 0 });
  expect(await house.days('quiet')).toEqual([]);
});
