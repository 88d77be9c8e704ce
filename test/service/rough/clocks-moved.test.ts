import { expect, test } from 'vitest';
import { MINUTE } from '../../../model/readings.ts';
import type { TubSetup } from '../../../model/setup.ts';
import { type LoopDays, loopDays } from '../../rules/loop-days.ts';
import { byItsClock } from './by-its-clock.ts';

/**
 * Days on which clocks are moved, and the end of February in a leap year: when the day begins, how many
 * quarters it has, and when its clock shows 20:00 (IANA time zone database).
 */
const days: [zone: string, date: string, from: string, quarters: number, eight: string][] = [
  ['Europe/Berlin', '2026-03-29', '2026-03-28T23:00:00.000Z', 92, '2026-03-29T18:00:00.000Z'],
  ['Europe/Berlin', '2026-10-25', '2026-10-24T22:00:00.000Z', 100, '2026-10-25T19:00:00.000Z'],
  ['Pacific/Auckland', '2026-04-05', '2026-04-04T11:00:00.000Z', 100, '2026-04-05T08:00:00.000Z'],
  ['Pacific/Auckland', '2026-09-27', '2026-09-26T12:00:00.000Z', 92, '2026-09-27T07:00:00.000Z'],
  // by half an hour
  ['Australia/Lord_Howe', '2026-04-05', '2026-04-04T13:00:00.000Z', 98, '2026-04-05T09:30:00.000Z'],
  ['Australia/Lord_Howe', '2026-10-04', '2026-10-03T13:30:00.000Z', 94, '2026-10-04T09:00:00.000Z'],
  // at midnight: back to 23:00 of the same day, or on to 01:00 of the next
  ['America/Santiago', '2026-04-04', '2026-04-04T03:00:00.000Z', 100, '2026-04-04T23:00:00.000Z'],
  ['America/Santiago', '2026-09-06', '2026-09-06T04:00:00.000Z', 92, '2026-09-06T23:00:00.000Z'],
  ['Europe/Berlin', '2028-02-29', '2028-02-28T23:00:00.000Z', 96, '2028-02-29T19:00:00.000Z'],
];
const latitudes: Record<string, number> = { 'Europe/Berlin': 52.5 };
const QUARTER = 15 * MINUTE;
const STEP = 2 * QUARTER;
const tub = 'kowhai';

const dayAfter = (date: string, n: number) =>
  new Date(Date.parse(date) + n * 86_400_000).toISOString().slice(0, 10);

/** Two days and a morning of a metered loop whose pump does not stop in the night in which clocks are moved. */
function made(place: TubSetup['place'], date: string, from: number): LoopDays {
  return loopDays({
    ...{ kit: 'B', from: dayAfter(date, -1), days: 2.25, everyMs: 120_000, backupC: null },
    setup: { place },
    happens: (scene) => {
      const hours = (scene.t - from) / (4 * QUARTER);
      if (hours > -3 && hours < 5) [scene.pumpOn, scene.lPerMin] = [true, 3.5];
    },
  });
}

/** Litres within a span, each flow holding until the next is heard. */
function litresOf({ traces }: LoopDays, from: number, to: number): number {
  const { t, v } = traces.get('pump/flow')!;
  let litres = 0;
  for (let i = 0; i + 1 < t.length; i++) {
    if (t[i]! >= from && t[i]! < to) litres += (v[i]! * (t[i + 1]! - t[i]!)) / MINUTE;
  }
  return litres;
}

test.each(days)(
  'lived through in %s, %s begins at %s, has %i quarters and its evening at %s',
  async (zone, date, begins, quarters, eight) => {
    const place = {
      latitude: latitudes[zone] ?? -33,
      longitude: longitudeOf(zone),
      timeZone: zone,
    };
    const from = Date.parse(begins);
    const loop = made(place, date, from);
    const house = await byItsClock(loop.from, 0, { tubs: [{ id: tub, place }] });
    const evenings = new Map<string, Set<string>>();
    const ids = new Set<string>();
    for (let t = loop.from; t < loop.to; t += STEP) {
      house.clock.t = t + STEP + 6_000;
      await house.take(`sunsteep/${tub}`, senmlOf(loop, t, t + STEP));
      await house.tick();
      const now = (await house.watch.now(tub))!;
      expect(now.day?.date).toBe(localDateOf(house.clock.t, zone));
      for (const { fault, id } of now.alerts) if (fault === 'pump-on-at-night') ids.add(id);
      if (((t - loop.from) / STEP) % 4 !== 0) continue;
      const evening = (await house.watch.evening(tub))!;
      if (evening.at === null) continue;
      const on = localDateOf(Date.parse(evening.at), zone);
      evenings.set(on, (evenings.get(on) ?? new Set()).add(evening.at));
    }
    // each evening is at one instant, and none is left out
    expect([...evenings.keys()]).toEqual([-1, 0, 1].map((n) => dayAfter(date, n)));
    for (const [on, instants] of evenings) expect([...instants], on).toHaveLength(1);
    expect([...evenings.get(date)!]).toEqual([eight]);

    const day = (await house.watch.day(tub, date))!;
    const to = from + quarters * QUARTER;
    expect(day).toMatchObject({ from: begins, to: new Date(to).toISOString(), coverage: 1 });
    expect(day.quarters.map((quarter) => quarter.from)).toEqual(
      Array.from({ length: quarters }, (_, n) => new Date(from + n * QUARTER).toISOString()),
    );
    expect(day.litres).toBeGreaterThan(500);
    expect(day.litres! / litresOf(loop, from, to)).toBeCloseTo(1, 2);

    const all = (await house.watch.days(tub))!;
    expect(all.map((one) => one.date)).toEqual([-1, 0, 1].map((n) => dayAfter(date, n)));
    const months = (await house.watch.months(tub))!;
    expect(months.map(({ month }) => month)).toEqual([
      ...new Set(all.map((one) => one.date.slice(0, 7))),
    ]);
    for (const { month, litres, gainKwh } of months) {
      const within = all.filter((one) => one.date.startsWith(month));
      expect(litres).toBeCloseTo(
        within.reduce((sum, one) => sum + one.litres!, 0),
        6,
      );
      expect(gainKwh).toBeCloseTo(
        within.reduce((sum, one) => sum + one.gainKwh!, 0),
        9,
      );
    }
    expect(ids.size, 'the pump that ran in that night is told once').toBe(1);
    const alerts = (await house.watch.alerts(tub, false))!;
    expect(alerts.filter(({ fault }) => fault === 'pump-on-at-night')).toHaveLength(1);
    console.log(alerts.map(({ fault, since, until }) => `${fault} ${since} ${until}`).join('; '));
  },
);

function senmlOf({ traces }: LoopDays, from: number, to: number): string {
  const records = [...traces].flatMap(([n, { t, v }]) =>
    [...t.keys()].flatMap((i) =>
      t[i]! >= from && t[i]! < to ? [{ n, t: t[i]! / 1000, v: v[i]! }] : [],
    ),
  );
  return JSON.stringify(records);
}

/** By the platform's own calendar. */
const localDateOf = (t: number, timeZone: string): string =>
  new Date(t).toLocaleDateString('sv-SE', { timeZone });

const longitudeOf = (zone: string): number =>
  ({ 'Europe/Berlin': 13.4, 'Pacific/Auckland': 174.8, 'Australia/Lord_Howe': 159.1 })[zone] ??
  -70.7;
