import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { demoSetup, demoTub } from '../../../collector-service/demo/place.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { Calendar } from '../../../collector-service/watch/calendar.ts';
import { Watch } from '../../../collector-service/watch/watch.ts';
import { addDays, dayBounds } from '../../../model/civil-time.ts';
import type { DayFigures } from '../../../model/day-figures.ts';
import { HOUR, QUARTER } from '../../../model/readings.ts';
import { tubSettings } from '../../../model/tub-settings.ts';
import { known, quarters } from '../../physics/quarters.ts';

const settings = tubSettings(demoTub);
const { timeZone } = settings.place;
const versions = [{ from: Number.NEGATIVE_INFINITY, settings }];

test('a year is read a month at a time, and its days and months are whole all the same', async () => {
  const [first, last] = ['2025-03-01', '2026-02-28'];
  const [from, to] = [dayBounds(first, timeZone).from, dayBounds(last, timeZone).to];
  const all = quarters(from, (to - from) / QUARTER, () => ({ gainKwh: 0.25 }));
  let longest = 0;
  const rows = {
    quarters: async (a: number, b: number) => {
      longest = Math.max(longest, b - a);
      return all.filter((row) => row.from >= a && row.from < b);
    },
    figures: () => null,
  };
  const calendar = new Calendar(versions, rows, to);
  const days = await calendar.days(first, last);
  expect(days.map(({ date }) => date)).toEqual(
    Array.from({ length: 365 }, (_, i) => addDays(first, i)),
  );
  for (const { date, gainKwh, coverage } of days) {
    const { from, to } = dayBounds(date, timeZone);
    expect([date, gainKwh, coverage]).toEqual([date, (to - from) / HOUR, 1]);
  }
  const months = await calendar.months('2025-03', '2026-02');
  expect(months.map(({ month, days }) => [month, days])).toEqual(
    [31, 30, 31, 30, 31, 31, 30, 31, 30, 31, 31, 28].map((count, i) => [
      new Date(Date.UTC(2025, 2 + i)).toISOString().slice(0, 7),
      count,
    ]),
  );
  expect(months.reduce((sum, { gainKwh }) => sum + gainKwh!, 0)).toBe(365 * 24);
  expect(longest).toBeLessThanOrEqual(31 * 24 * HOUR);
});

test('of all times that can be asked for only those with readings are read', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-calendar-'));
  const store = openStore(folder);
  let reads = 0;
  const counting = new Proxy(store, {
    get: (target, name) => {
      if (name === 'ledger') reads++;
      const member = Reflect.get(target, name);
      return typeof member === 'function' ? member.bind(target) : member;
    },
  }) as Store;
  const t = dayBounds('2026-03-01', timeZone).from;
  const point = 'tub/temperature';
  const readings = [0, 1, 2].map((i) => ({ tub: demoTub.id, point, t: t + i * 60_000, value: 37 }));
  await store.keep({ readings, unreadable: [], at: t });
  await store.addSetup({ from: Number.NEGATIVE_INFINITY, setup: demoSetup, madeAt: t });
  const watch = new Watch({
    store: counting,
    clock: { now: () => t + HOUR },
    earlier: () => new Map(),
    failed: (error) => {
      throw error;
    },
  });
  await watch.start();
  await watch.settled();
  reads = 0;
  const days = await watch.days(demoTub.id, '0001-01-01', '9999-11-30');
  const months = await watch.months(demoTub.id, '0001-01', '9999-11');
  expect(days!.map(({ date }) => date)).toEqual(['2026-03-01']);
  expect(months!.map(({ month }) => month)).toEqual(['2026-03']);
  expect(await watch.days(demoTub.id, '2026-03-02')).toEqual([]);
  expect(reads).toBeLessThan(10);
  await watch.stop();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

test('a day on which the tub was drained says from when to when it is not counted', async () => {
  const date = '2026-03-01';
  const { from, to } = dayBounds(date, timeZone);
  const [emptied, filled] = [from + 8 * HOUR, from + 20 * HOUR];
  const owner = { ...settings.owner, drained: true };
  const told = [
    ...versions,
    { from: emptied, settings: { ...settings, owner } },
    { from: filled, settings },
  ];
  const rows = (saved: object | null) => ({
    quarters: async () => quarters(from, (to - from) / QUARTER, () => ({ tubC: null })),
    figures: () =>
      ({ learned: known(10, 4), expected: null, spoilt: [], saved }) as unknown as DayFigures,
  });
  const notCounted = async (saved: object | null, until = to) =>
    (await new Calendar(told, rows(saved), until).day(date)).notCounted.map((span) => [
      (Date.parse(span.from) - from) / HOUR,
      (Date.parse(span.to) - from) / HOUR,
      span.why,
    ]);
  const drained = 'the tub was drained';
  expect(await notCounted(null)).toEqual([
    [0, 8, 'not heard'],
    [8, 20, drained],
    [20, 24, 'not heard'],
  ]);
  expect(await notCounted(null, from + 10 * HOUR)).toEqual([
    [0, 8, 'not heard'],
    [8, 10, drained],
  ]);
  const notHeard = [{ from: emptied - HOUR, to: filled }];
  const uncertainty = { flow: 0, pair: 0, flowInUse: 0, loss: 0, capacity: 0, backup: 0 };
  const saved = { usefulKwh: 1, savedKwh: 1, efficiency: 1, efficiencyUncertainty: 0 };
  expect(await notCounted({ ...saved, uncertainty, notHeard })).toEqual([
    [7, 8, 'not heard'],
    [8, 20, drained],
  ]);
});
