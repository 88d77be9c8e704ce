import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Day } from '../../../model/shapes.ts';
import { type House, openHouse, setUp } from './house.ts';
import { endAll, run } from './program.ts';

/**
 * Days around changes of clocks. How long each is, and when it begins, is what the places' own rules
 * say (IANA time zone database, 2024): not what the program works out.
 */
const places: [zone: string, date: string, from: string, quarters: number][] = [
  ['Pacific/Auckland', '2024-04-06', '2024-04-05T11:00:00.000Z', 96],
  ['Pacific/Auckland', '2024-04-07', '2024-04-06T11:00:00.000Z', 100], // back at 03:00
  ['Pacific/Auckland', '2024-09-29', '2024-09-28T12:00:00.000Z', 92], // forward at 02:00
  ['Europe/Madrid', '2024-03-31', '2024-03-30T23:00:00.000Z', 92],
  ['Europe/Madrid', '2024-10-27', '2024-10-26T22:00:00.000Z', 100],
  ['Australia/Lord_Howe', '2024-04-07', '2024-04-06T13:00:00.000Z', 98], // back by half an hour
  ['Australia/Lord_Howe', '2024-10-06', '2024-10-05T13:30:00.000Z', 94],
  ['America/Santiago', '2024-04-06', '2024-04-06T03:00:00.000Z', 100], // at midnight back to 23:00
  ['America/Santiago', '2024-09-08', '2024-09-08T04:00:00.000Z', 92], // begins at 01:00
  ['Asia/Kathmandu', '2024-05-05', '2024-05-04T18:15:00.000Z', 96], // UTC+05:45
];
const QUARTER = 900_000;
const FIVE_MINUTES = 300_000;

let house: House;

const tubOf = (zone: string, date: string) =>
  `${zone.split('/')[1]!.toLowerCase().replace('_', '-')}-${date.slice(5)}`;

/** From a day before the day to a day after: 4 l/min, and 5 K between inlet and outlet. */
function steadyRows(tub: string, from: number, quarters: number): string {
  let rows = '';
  const end = from + (quarters + 96) * QUARTER;
  for (let t = from - 96 * QUARTER; t <= end; t += FIVE_MINUTES) {
    const time = new Date(t).toISOString();
    rows += `${time},${tub},collector/inlet,40\n${time},${tub},collector/outlet,45\n`;
    rows += `${time},${tub},pump/flow,4\n${time},${tub},tub/temperature,40\n`;
  }
  return rows;
}

beforeAll(async () => {
  house = await openHouse();
  await setUp(
    house,
    ...places.map(([timeZone, date]) => ({
      id: tubOf(timeZone, date),
      place: { latitude: -30, longitude: 170, timeZone },
    })),
  );
  const file = join(house.folder, 'steady.csv');
  const rows = places.map(([zone, date, from, quarters]) =>
    steadyRows(tubOf(zone, date), Date.parse(from), quarters),
  );
  writeFileSync(file, `time,tub,point,value\n${rows.join('')}`);
  const imported = await run(['import', file], { SUNSTEEP_DATA: house.folder });
  expect(imported.code, imported.err).toBe(0);
});
afterAll(endAll);

test.each(places)('%s on %s begins at %s and has %i quarters', async (zone, date, from, count) => {
  const tub = tubOf(zone, date);
  const day = await house.day(tub, date);
  expect(day.quarters).toHaveLength(count);
  expect(day.quarters[0]!.from).toBe(from);
  expect(day).toMatchObject({
    from,
    to: new Date(Date.parse(from) + count * QUARTER).toISOString(),
    coverage: 1,
    tubLowC: 40,
  });
  // 0.25 m³ from 40 to 45 °C with the meter in the return: 1.439605 kWh (EN 1434-1 with IF97)
  const litres = count * 15 * 4;
  expect(day.litres).toBeCloseTo(litres, 6);
  expect(day.gainKwh! / ((1.439605 * litres) / 250)).toBeCloseTo(1, 6);
});

test('days neither overlap nor leave a gap: their sum is the month, their data all that was sent', async () => {
  for (const [zone, date, , count] of places) {
    const tub = tubOf(zone, date);
    const days = await house.days(tub);
    const sum = (key: 'gainKwh' | 'litres') =>
      days.reduce((total, day) => total + (day[key] ?? 0), 0);
    expect(sum('litres') / ((count + 192) * 15 * 4), tub).toBeCloseTo(1, 9);
    const { items } = await house.get<{ items: (Day & { month: string })[] }>(
      `/api/tubs/${tub}/months`,
    );
    const months = items.reduce((total, month) => total + month.gainKwh!, 0);
    expect(months / sum('gainKwh'), tub).toBeCloseTo(1, 12);
    expect([...new Set(days.map((day) => day.date))], 'no date twice').toHaveLength(days.length);
  }
});
