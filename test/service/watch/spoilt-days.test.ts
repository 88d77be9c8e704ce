import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate as turn } from 'node:timers/promises';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { Recorded } from '../../../collector-service/replay/recorded.ts';
import { replayed } from '../../../collector-service/replay/run.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import { MINUTE, type Reading } from '../../../model/readings.ts';
import type { TubSetup } from '../../../model/setup.ts';
import { loopDays } from '../../rules/loop-days.ts';

/** Days of a loop whose outlet stands still from the second noon on, live and in a replay. */

const tub = 'kowhai';
const litres = { litres: 1000, targetC: 36 };
const collectors = { count: 4, areaM2: 0.8 };
const place = { latitude: -41.3, longitude: 174.8, timeZone: 'Pacific/Auckland' };
const setup: TubSetup = { id: tub, place, collectors, tub: litres };
const frozen = loopDays({
  ...{
    kit: 'B',
    days: 3,
    backupC: 35,
    everyMs: MINUTE,
    tubC: 32,
    setup: { collectors, tub: litres },
  },
  bends: { 'collector/outlet': (value, { day }) => (day > 1.5 ? 60 : value) },
});
const readings: Reading[] = [...frozen.traces].flatMap(([point, { t, v }]) =>
  Array.from(t, (at, i) => ({ tub, point, t: at, value: v[i]! })),
);
const end = frozen.to;

let folder: string;
let store: Store;
let watch: Watch;
const failures: unknown[] = [];

async function begin(): Promise<void> {
  watch = new Watch({
    ...{ store, clock: { now: () => end + MINUTE }, earlier: () => new Map() },
    failed: (error) => failures.push(error),
  });
  await watch.start();
}

/** Until all that was heard is judged, and the days are worked out that follow from that. */
async function judged(): Promise<void> {
  do {
    await watch.settled();
    await watch.tick();
    await turn();
  } while (!watch.isUpToDate(tub));
  await watch.settled();
}

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'sunsteep-spoilt-'));
  store = openStore(folder);
  await store.keep({ readings, unreadable: [], at: end });
  await begin();
  await watch.putSetup({ tubs: [setup] }, Number.NEGATIVE_INFINITY);
  await judged();
});
afterEach(async () => {
  await watch.stop();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
  expect(failures).toEqual([]);
});

const brief = async () =>
  (await watch.days(tub))!.map(({ date, gainKwh, usefulKwh, savedKwh, notCounted }) => ({
    ...{ date, gainKwh, usefulKwh, savedKwh, notCounted },
  }));

const theAlert = async () =>
  (await store.alerts(tub, false)).find(({ fault }) => fault === 'frozen-reading')!;

test('an alert leaves out what it spoils since it began, in a replay as live', async () => {
  const live = await brief();
  const { since, raisedAt } = await theAlert();
  expect(raisedAt - since).toBeGreaterThan(15 * MINUTE);
  const [first, second, third] = live;
  expect(first).toMatchObject({ notCounted: [] });
  const why = 'the sensor at the outlet stood still';
  expect(second!.notCounted).toMatchObject([{ why }]);
  expect(Date.parse(second!.notCounted[0]!.from)).toBeLessThanOrEqual(since);
  expect(third).toMatchObject({ usefulKwh: null, savedKwh: null, notCounted: [{ why }] });
  expect(third!.gainKwh).toBeGreaterThan(10);

  const recorded = new Recorded();
  for (const reading of readings) recorded.add(reading);
  const again = (await replayed({ tubs: [setup] }, recorded)).get(tub)!.days;
  expect(again.map(({ date }) => date)).toEqual(live.map(({ date }) => date));
  for (const [i, day] of live.entries()) expect(again[i]).toMatchObject(day);
}, 60_000);

test('what somebody calls no fault is counted again', async () => {
  await watch.notAFault(tub, (await theAlert()).id, 'a new sensor');
  await judged();
  const days = await brief();
  expect(days.flatMap(({ notCounted }) => notCounted)).toEqual([]);
  expect(days[2]!.usefulKwh).toBeGreaterThan(5);
}, 60_000);

test('what was judged just before a kill is found at the next start', async () => {
  await watch.stop();
  const { id } = await theAlert();
  await store.dismiss(tub, id, end);
  await begin();
  await watch.settled();
  expect((await brief()).flatMap(({ notCounted }) => notCounted)).toEqual([]);
}, 60_000);
