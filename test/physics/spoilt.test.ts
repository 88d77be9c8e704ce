import { expect, test } from 'vitest';
import { dayOf, type WorkedDay } from '../../model/day.ts';
import type { Quarter } from '../../model/ledger.ts';
import { HOUR } from '../../model/readings.ts';
import { savedOn } from '../../model/saved.ts';
import { type Spoilt, spoiltBy, spoiltWithin } from '../../model/spoilt.ts';
import { known, quarters } from './quarters.ts';
import { always } from './traces.ts';

/** What faults spoil of a day, and what is told of it. */

const from = Date.parse('2026-03-01T00:00:00Z');
const bounds = { from, to: from + 24 * HOUR };
const { settings } = always({ tub: { litres: 1000, targetC: 38 } })[0]!;
const learned = known(10, 4);
const h = (hours: number) => from + hours * HOUR;
const told = (hours: number) => new Date(h(hours)).toISOString();

type Alert = Parameters<typeof spoiltBy>[0][number];
const alert = (change: Partial<Alert> = {}): Alert => ({
  fault: 'frozen-reading',
  point: 'collector/outlet',
  since: h(10),
  until: h(14),
  evidence: {},
  ...change,
});

/** A tub that nothing moved, in whose loop a wrong outlet brings 5 kW from 10 to 14 h. */
const wrong = (change: Partial<Quarter> = {}) =>
  quarters(from, 96, (i) => {
    const gainKwh = i >= 40 && i < 56 ? 1.25 : 0;
    return { tubC: 38, airC: 38, gainKwh, measuredKwh: gainKwh, ...change };
  });

function dayWith(alerts: Alert[], rows = wrong(), drained: WorkedDay['drained'] = []) {
  const spoilt = spoiltWithin(spoiltBy(alerts), bounds);
  const saved = savedOn({
    ...{ settings, learned, quarters: rows, nights: [], day: bounds, spoilt },
    ...{ before: null, pumpKwh: 0 },
  });
  const figures = {
    ...{ date: '2026-03-01', evidence: null, learned, before: null, spoilt, saved },
    expected: { expectedKwh: 0, sunKwhPerM2: 0 },
    after: saved?.after ?? null,
  };
  const worked = { date: figures.date, bounds, quarters: rows, figures, settings, drained };
  return dayOf(worked, bounds.to);
}

test('heat of a time that a fault spoils stays, and nothing of it is useful or saved', () => {
  const believed = dayWith([]);
  expect(believed.usefulKwh).toBeGreaterThan(5);
  const day = dayWith([alert()]);
  expect(day.gainKwh).toBe(believed.gainKwh);
  expect(day.usefulKwh).toBeCloseTo(0, 6);
  const why = 'the sensor at the outlet stood still';
  expect(day.notCounted).toEqual([{ from: told(10), to: told(14.25), why }]);
});

test('a fault that goes on all day leaves no figure of it, and says why', () => {
  const day = dayWith([alert({ since: h(-30), until: null })]);
  expect(day).toMatchObject({ usefulKwh: null, savedKwh: null, gainKwh: 20 });
  expect(day.notCounted).toMatchObject([{ from: told(0), to: told(24) }]);
});

test('what somebody called no fault spoils nothing', () => {
  const day = dayWith([alert({ dismissedAt: h(12) })]);
  expect(day).toEqual(dayWith([]));
});

test('two faults at a time are told one after the other, and a drained tub before both', () => {
  const frozen = alert({ since: h(2), until: h(5) - 1 });
  const swapped = alert({ fault: 'to-and-from-swapped', since: h(4), until: h(8) - 1 });
  const { notCounted } = dayWith([swapped, frozen], wrong(), [{ from: h(3), to: h(4.5) }]);
  expect(notCounted).toEqual([
    { from: told(2), to: told(3), why: 'the sensor at the outlet stood still' },
    { from: told(3), to: told(4.5), why: 'the tub was drained' },
    { from: told(4.5), to: told(5), why: 'the sensor at the outlet stood still' },
    { from: told(5), to: told(8), why: 'two sensors had each other’s place' },
  ]);
});

test('a fault spoils what its sensor has a part in, and the tub’s spoils all', () => {
  const estimated = {
    ...{ gainKwh: null, lostKwh: null, measuredKwh: null, basis: null, coveredMs: 0 },
    ...{ driveKwhMinPerL: 0.02, driveMs: 900_000 },
  };
  const spoils = (change: Partial<Alert>, rows?: Quarter[]) =>
    dayWith([alert(change)], rows).notCounted.length > 0;
  const loose = { fault: 'collector-sensor-loose', point: null } as const;
  const flow = { fault: 'flow-too-high', point: null } as const;
  expect([spoils(loose), spoils(loose, wrong(estimated))]).toEqual([false, true]);
  expect([spoils(flow), spoils(flow, wrong(estimated))]).toEqual([true, false]);
  const tub = { point: 'tub/temperature' };
  expect([spoils(tub), spoils(tub, wrong(estimated))]).toEqual([true, true]);
  const board = { point: 'outdoor/temperature', evidence: { together: 4 } };
  expect([spoils(board), spoils({ ...board, evidence: { together: 1 } })]).toEqual([true, false]);
  expect(spoils({ fault: 'pump-not-running', point: null })).toBe(false);
});

test('a fault that goes on at midnight is cut there, in whole quarters', () => {
  const spoilt: Spoilt[] = spoiltBy([alert({ since: h(22.1), until: h(30) })]);
  expect(spoiltWithin(spoilt, bounds)).toMatchObject([{ from: h(22), to: h(24) }]);
  expect(spoiltWithin(spoilt, { from: h(31), to: h(40) })).toEqual([]);
});
