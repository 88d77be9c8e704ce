import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { ledgerPoints } from '../../../model/ledger.ts';
import { pointType } from '../../../model/points.ts';
import type { TubSetup } from '../../../model/setup.ts';
import type { Day } from '../../../model/shapes.ts';
import { openBoard, openHouse, settled, setUp } from './house.ts';
import { endAll, newFolder, run } from './program.ts';
import { chance, csvOf, metered, publishPacks, type Sent, START } from './sunny-hours.ts';

afterAll(endAll);

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const TUBS = 12;
const ROUNDS = 3;

/** Sensors that come and go over three days, each in a rhythm of its own, from seconds to hours. */
function oddReadings(random: () => number): Sent[] {
  const pick = <T>(some: readonly T[]) => some[Math.floor(random() * some.length)]!;
  const sent: Sent[] = [];
  for (const point of ledgerPoints) {
    if (random() < 0.4) continue;
    const { kind } = pointType(point)!;
    let counter = 100;
    let t = START + random() * 20 * HOUR;
    for (let stretch = 0; stretch < 3; stretch++, t += random() * 30 * HOUR) {
      const every = pick([
        MINUTE / 6,
        MINUTE,
        5 * MINUTE,
        9.8 * MINUTE,
        HOUR / 2,
        4 * HOUR,
        10 * HOUR,
      ]);
      const count = 1 + Math.floor(random() * (every > HOUR ? 4 : 20));
      for (let i = 0; i < count; i++) {
        t = Math.round(t + every * (0.3 + random()));
        // often just on the edge of a quarter hour, or right after it
        if (random() < 0.2) t = Math.round(t / 900_000) * 900_000 + pick([0, 1]);
        counter = random() < 0.05 ? 0 : counter + 3 * random();
        const value = {
          flag: pick([0, 1]),
          volume: counter,
          energy: counter,
          flow: pick([0, 3, 4]),
          power: pick([0, 13]),
          voltage: 12,
          irradiance: 500 * random(),
          temperature: pick([85, 84, 36, 20 + 30 * random()]),
        }[kind];
        sent.push({ t, point, value });
      }
    }
  }
  return sent;
}

/** A day without what faults spoil of it: that follows once the alerts of such a past are judged. */
function byReadingsAlone(day: Day) {
  const { notCounted, usefulKwh, usefulUncertaintyKwh, savedKwh, savedUncertaintyKwh, ...rest } =
    day;
  const { savedMoney, savedCo2Kg, ...heard } = rest;
  return heard;
}

test('whatever was heard, in any order, gives what a replay and working it out again give', async () => {
  const seed = 20_240_302;
  console.log(`seed ${seed}`);
  const random = chance(seed);
  const tubs = Array.from({ length: TUBS }, (_, i) => {
    const readings = oddReadings(random);
    for (let j = readings.length - 1; j > 0; j--) {
      const other = Math.floor(random() * (j + 1));
      [readings[j], readings[other]] = [readings[other]!, readings[j]!];
    }
    const wide = { 'collector/inlet': 60, 'pump/running': 100, 'tub/temperature': 45 };
    const setup: TubSetup = { ...metered(`odd-${i}`), ...(i % 2 ? { longestGapMin: wide } : {}) };
    return { setup, id: setup.id, readings };
  });
  const house = await openHouse();
  await setUp(house, ...tubs.map(({ setup }) => setup));
  const board = await openBoard(house);
  for (let round = 0; round < ROUNDS; round++) {
    for (const { id, readings } of tubs) {
      await publishPacks(
        board,
        id,
        readings.filter((_, i) => i % ROUNDS === round),
        7,
      );
    }
    await settled(house);
  }
  await board.endAsync();
  const told = async () =>
    Promise.all(
      tubs.map(async ({ id }) => {
        const days = await house.days(id);
        const quarters = await Promise.all(days.map(({ date }) => house.day(id, date)));
        return { id, days, quarters };
      }),
    );
  const live = await told();
  const rows = live.flatMap(({ quarters }) => quarters.flatMap((day) => day.quarters));
  const read = tubs.reduce((sum, { readings }) => sum + readings.length, 0);
  console.log(`${read} readings of ${TUBS} tubs, ${rows.length} quarters`);
  expect(rows.length).toBeGreaterThan(1000);

  expect((await run(['recompute'], { SUNSTEEP_DATA: house.folder })).code).toBe(0);
  expect(await told(), 'worked out again').toEqual(live);

  const folder = newFolder();
  const setup = join(folder, 'setup.json');
  writeFileSync(setup, JSON.stringify({ tubs: tubs.map((tub) => tub.setup) }));
  const files = tubs.map(({ id, readings }) => {
    const file = join(folder, `${id}.csv`);
    writeFileSync(file, csvOf(id, readings));
    return file;
  });
  const { code, out, err } = await run(['replay', '--setup', setup, ...files, '--json']);
  expect(code, err).toBe(0);
  const replayed: Record<string, { days: Day[] }> = JSON.parse(out).tubs;
  for (const { id, days } of live)
    expect(replayed[id]!.days.map(byReadingsAlone), id).toEqual(days.map(byReadingsAlone));
  await house.stop();
}, 240_000);
