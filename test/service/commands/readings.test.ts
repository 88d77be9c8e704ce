import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import type { Day } from '../../../model/shapes.ts';
import { dayWhen, type House, openBoard, openHouse, setUp } from '../live/house.ts';
import { endAll, newFolder, run, startProgram } from '../live/program.ts';
import { csvOf, DATE, metered, publishPacks, shuffled, sunnyHours } from '../live/sunny-hours.ts';

afterAll(endAll);

const readings = sunnyHours();

function fileWith(text: string, name = 'readings.csv'): string {
  const file = join(newFolder(), name);
  writeFileSync(file, text);
  return file;
}

/** Everything that a tub's days, months and quarters say. */
async function told(house: House, tub: string): Promise<object> {
  const days: Day[] = await house.days(tub);
  const quarters = await Promise.all(days.map(({ date }) => house.day(tub, date)));
  return { quarters, months: await house.get(`/api/tubs/${tub}/months`) };
}

test('what is exported and imported into an empty store gives the same days', async () => {
  const house = await openHouse();
  await setUp(house, metered('kowhai'));
  const env = { SUNSTEEP_DATA: house.folder };
  const imported = await run(['import', fileWith(csvOf('kowhai', shuffled(readings)))], env);
  expect(imported).toMatchObject({ code: 0, err: '' });
  expect(imported.out).toBe(`${shuffled(readings).length} rows read, 0 refused\n`);
  const before = await told(house, 'kowhai');
  expect(before).toMatchObject({ quarters: [{ date: DATE, basis: 'measured' }] });

  const running = await run(['export', '--tub', 'kowhai'], env);
  expect(await house.stop()).toBe(0);
  const resting = await run(['export', '--tub', 'kowhai', '--from', DATE, '--to', DATE], env);
  expect(resting).toEqual(running);
  expect(resting).toMatchObject({ code: 0, err: '' });
  expect(resting.out.split('\n')).toHaveLength(
    new Set(readings.map(({ t, point }) => `${t} ${point}`)).size + 2,
  );

  const folder = newFolder();
  const again = await run(['import', fileWith(resting.out)], { SUNSTEEP_DATA: folder });
  expect(again).toMatchObject({ code: 0, err: '' });
  const other = await openHouse({ folder });
  await setUp(other, metered('kowhai'));
  await dayWhen(other, 'kowhai', DATE, ({ usefulKwh }) => usefulKwh !== null);
  expect(await told(other, 'kowhai')).toEqual(before);
  await other.stop();
});

test('an import while nothing runs is worked out when it ends; again it changes nothing', async () => {
  const first = await openHouse();
  const { folder } = first;
  await setUp(first, metered('kowhai'));
  await first.stop();
  const file = fileWith(csvOf('kowhai', readings));
  const env = { SUNSTEEP_DATA: folder };
  expect((await run(['import', file], env)).code).toBe(0);
  const second = await openHouse({ folder });
  const day = await second.day('kowhai', DATE);
  expect(day.gainKwh).toBeGreaterThan(2);
  expect((await run(['import', file, file], env)).code).toBe(0);
  expect(await second.day('kowhai', DATE)).toEqual(day);
  await second.stop();
  expect((await run(['recompute'], env)).code).toBe(0);
  const third = await openHouse({ folder });
  expect(await third.day('kowhai', DATE)).toEqual(day);
  await third.stop();
});

test('an import beside a service that hears gives what either would have given', async () => {
  const house = await openHouse();
  await setUp(house, metered('kowhai'), metered('rata'));
  const board = await openBoard(house);
  await publishPacks(board, 'rata', readings);
  const half = readings.length / 2;
  const importing = run(['import', fileWith(csvOf('kowhai', readings.slice(0, half)))], {
    SUNSTEEP_DATA: house.folder,
  });
  await publishPacks(board, 'kowhai', readings.slice(half));
  expect(await importing).toMatchObject({ code: 0, err: '' });
  const whole = await dayWhen(house, 'rata', DATE, ({ usefulKwh }) => usefulKwh !== null);
  const same = (day: object) => JSON.stringify(day) === JSON.stringify(whole);
  await dayWhen(house, 'kowhai', DATE, same).catch(async () => {
    expect(await house.day('kowhai', DATE)).toEqual(whole);
  });
  await board.endAsync();
  await house.stop();
});

test('bad rows are counted with their reasons and stop nothing', async () => {
  const rows = [
    'value,time,point,tub', // any order of columns
    '36.5,2024-03-02T00:00:00Z,tub/temperature,kowhai',
    '36.6,2024-03-02T13:01:00+13:00,"tub/temperature",kowhai',
    '36.7,2024-03-02T00:02:00,tub/temperature,kowhai', // no offset
    '36.8,2024-02-30T00:03:00Z,tub/temperature,kowhai',
    'warm,2024-03-02T00:04:00Z,tub/temperature,kowhai',
    '1e999,2024-03-02T00:05:00Z,tub/temperature,kowhai',
    '36.9,2024-03-02T00:06:00Z,tub/temprature,kowhai',
    '37.0,2024-03-02T00:07:00Z,tub/temperature,Kōwhai',
    '37.1,2106-02-07T06:28:16Z,tub/temperature,kowhai', // ahead of the clock
    '37.2,2024-03-02T00:08:00Z,tub/temperature',
    '37.3,2024-03-02T00:09:00Z,tub/temperature,kowhai,more',
    '37.4,2024-03-02T00:10:00Z,"tub/temperature,kowhai',
    'ON,2024-03-02T00:11:00Z,pump/running,kowhai',
    '',
    '37.5,2024-03-02T00:12:00Z,tub/temperature,kowhai',
  ];
  const folder = newFolder();
  const env = { SUNSTEEP_DATA: folder };
  const { code, out, err } = await run(['import', fileWith(rows.join('\r\n'))], env);
  expect({ code, err }).toEqual({ code: 0, err: '' });
  const [count, ...reasons] = out.trim().split('\n');
  expect(count).toBe('4 rows read, 10 refused');
  const refused = reasons.map((line) => /^ {2}(\d+) × .+ \(first: .+ line \d+\)$/.exec(line)?.[1]);
  expect(
    refused.reduce((sum, n) => sum + Number(n), 0),
    out,
  ).toBe(10);
  const exported = await run(['export', '--tub', 'kowhai'], env);
  expect(exported.out).toBe(
    'time,tub,point,value\n' +
      '2024-03-02T00:00:00.000Z,kowhai,tub/temperature,36.5\n' +
      '2024-03-02T00:01:00.000Z,kowhai,tub/temperature,36.6\n' +
      '2024-03-02T00:11:00.000Z,kowhai,pump/running,1\n' +
      '2024-03-02T00:12:00.000Z,kowhai,tub/temperature,37.5\n',
  );
});

test('an export whose reader has seen enough ends without a word', async () => {
  const env = { SUNSTEEP_DATA: newFolder() };
  const rows = Array.from({ length: 40_000 }, (_, i) => ({
    t: Date.parse('2024-03-02T00:00:00Z') + 1000 * i,
    ...{ point: 'tub/temperature', value: 36 },
  }));
  expect((await run(['import', fileWith(csvOf('kowhai', rows))], env)).code).toBe(0);
  const exporting = startProgram(['export', '--tub', 'kowhai'], env);
  await exporting.says(/time,tub/);
  exporting.process.stdout!.destroy();
  await exporting.ended;
  expect(exporting.err()).toBe('');
});

test('an export of a local day holds that day’s readings alone', async () => {
  const house = await openHouse();
  await setUp(house, metered('kowhai'));
  const env = { SUNSTEEP_DATA: house.folder };
  const at = (time: string) => ({ t: Date.parse(time), point: 'tub/temperature', value: 36 });
  const times = [
    '2024-03-01T10:59:59.999Z',
    '2024-03-01T11:00:00.000Z',
    '2024-03-02T10:59:59.999Z',
    '2024-03-02T11:00:00.000Z',
  ];
  expect((await run(['import', fileWith(csvOf('kowhai', times.map(at)))], env)).code).toBe(0);
  const { out } = await run(['export', '--tub', 'kowhai', '--from', DATE, '--to', DATE], env);
  expect(
    out
      .split('\n')
      .slice(1, -1)
      .map((row) => row.split(',')[0]),
  ).toEqual(times.slice(1, 3));
  await house.stop();
});

test('what an import cannot read is told in one line, with exit code 1', async () => {
  const env = { SUNSTEEP_DATA: newFolder() };
  const missing = join(newFolder(), 'no-such.csv');
  for (const file of [missing, newFolder(), fileWith('a,b\n1,2\n'), fileWith('')]) {
    const { code, out, err } = await run(['import', file], env);
    expect({ code, out }).toEqual({ code: 1, out: '' });
    expect(err).toMatch(/^sunsteep: .+\n$/);
    expect(err).toContain(file);
  }
  const damaged = newFolder();
  writeFileSync(join(damaged, 'sunsteep.db'), 'this is no database at all, but a letter to nobody');
  const { code, err } = await run(['import', fileWith(csvOf('kowhai', readings))], {
    SUNSTEEP_DATA: damaged,
  });
  expect(code).toBe(1);
  expect(err).toMatch(/^sunsteep: .+\n$/);
  expect(readFileSync(join(damaged, 'sunsteep.db'), 'utf8')).toMatch(/a letter to nobody$/);
});
