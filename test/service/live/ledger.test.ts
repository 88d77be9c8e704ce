import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Day, DayWithQuarters, Month } from '../../../model/shapes.ts';
import { dayWhen, type House, openBoard, openHouse, settled, setUp } from './house.ts';
import { endAll, newFolder, run } from './program.ts';
import { csvOf, DATE, metered, publishPacks, START, shuffled, sunnyHours } from './sunny-hours.ts';

let house: House;
let board: MqttClient;
/** The hours as they were worked out from readings that came in order. */
let inOrder: DayWithQuarters;

const readings = sunnyHours();
const tubs = ['in-order', 'shuffled', 'late', 'twice-as-long'];
const env = () => ({ SUNSTEEP_DATA: house.folder });

/** Once it stands as wanted; the assertion tells how it differs where it never does. */
async function becomes(tub: string, wanted: DayWithQuarters): Promise<void> {
  const same = (day: DayWithQuarters) => JSON.stringify(day) === JSON.stringify(wanted);
  await dayWhen(house, tub, wanted.date, same).catch(async () => {
    expect(await house.day(tub, wanted.date)).toEqual(wanted);
  });
}

beforeAll(async () => {
  house = await openHouse();
  await setUp(house, ...tubs.map(metered));
  board = await openBoard(house);
  await publishPacks(board, 'in-order', readings);
  await settled(house);
  inOrder = await house.day('in-order', DATE);
});
afterAll(async () => {
  await board.endAsync();
  await endAll();
});

test('a metered afternoon brings the heat that its readings tell', () => {
  expect(inOrder).toMatchObject({ basis: 'measured', date: DATE });
  expect(inOrder.quarters).toHaveLength(12);
  expect(inOrder.gainKwh).toBeGreaterThan(2);
  expect(inOrder.lostKwh).toBeGreaterThan(0.005); // colder water came back for six minutes
  const sum = inOrder.quarters.reduce((kwh, quarter) => kwh + (quarter.gainKwh ?? 0), 0);
  expect(inOrder.gainKwh).toBeCloseTo(sum, 12);
  const covered = inOrder.quarters.reduce((all, quarter) => all + quarter.coverage / 96, 0);
  expect(inOrder.coverage).toBeCloseTo(covered, 12);
  // 13 minutes without an inlet are no heat and no coverage
  expect(inOrder.quarters[8]!.coverage).toBeLessThan(0.2);
});

test('readings in any order, some of them twice, give the same day to the last digit', async () => {
  const mixed = shuffled(readings);
  console.log(`${mixed.length} readings of ${readings.length}, shuffled with seed 11`);
  await publishPacks(board, 'shuffled', mixed, 7);
  await becomes('shuffled', inOrder);
});

test('readings that come one by one over time give the same day as at once', async () => {
  // in parts, each worked out before the next comes, the last part first
  for (let part = 2; part >= 0; part--) {
    const some = readings.filter((_, i) => Math.floor((3 * i) / readings.length) === part);
    await publishPacks(board, 'late', shuffled(some, part + 1), 13);
    await settled(house);
  }
  await becomes('late', inOrder);
});

test('replay gives the same day, month and count of rows as the service', async () => {
  const folder = newFolder();
  const csv = join(folder, 'readings.csv');
  const setup = join(folder, 'setup.json');
  writeFileSync(csv, csvOf('in-order', shuffled(readings, 3)));
  writeFileSync(setup, JSON.stringify({ tubs: [metered('in-order')] }));
  const { code, out, err } = await run(['replay', '--setup', setup, csv, '--json']);
  expect({ code, err }).toEqual({ code: 0, err: '' });
  const replayed: { tubs: Record<string, { days: Day[]; months: Month[] }>; rows: object } =
    JSON.parse(out);
  expect(replayed.rows).toMatchObject({ read: shuffled(readings, 3).length, refused: 0 });
  const { days, months } = replayed.tubs['in-order']!;
  expect(days).toEqual(await house.days('in-order'));
  const { items } = await house.get<{ items: Month[] }>('/api/tubs/in-order/months');
  expect(months).toEqual(items);
});

test('working everything out again changes nothing', async () => {
  expect(await run(['recompute', '--tub', 'in-order'], env())).toMatchObject({ code: 0, err: '' });
  expect(await house.day('in-order', DATE)).toEqual(inOrder);
  expect(await run(['recompute', '--tub', 'in-order', '--from', DATE], env())).toMatchObject({
    code: 0,
  });
  expect(await house.day('in-order', DATE)).toEqual(inOrder);
});

test('a late reading changes the quarters that it touches, and no others', async () => {
  await publishPacks(board, 'twice-as-long', readings);
  await settled(house);
  const before = await house.day('twice-as-long', DATE);
  expect({ ...before, quarters: [] }).toEqual({ ...inOrder, quarters: [] });
  // 25 minutes after the start, in the middle of the second quarter, five kelvin more
  const late = { t: START + 25 * 60_000 + 1, point: 'collector/outlet', value: 46 };
  await publishPacks(board, 'twice-as-long', [late]);
  await settled(house);
  const after = await house.day('twice-as-long', DATE);
  const changed = after.quarters.flatMap((quarter, i) =>
    JSON.stringify(quarter) === JSON.stringify(before.quarters[i]) ? [] : [i],
  );
  expect(changed).toEqual([1]);
  expect(after.gainKwh).toBeGreaterThan(before.gainKwh!);
  await run(['recompute', '--tub', 'twice-as-long'], env());
  expect(await house.day('twice-as-long', DATE)).toEqual(after);
});
