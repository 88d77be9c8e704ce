import type { LogEntryShape } from '../../model/owner-log.ts';
import type { Day, DayWithQuarters, Month } from '../../model/shapes.ts';
import { dayWith } from './house.ts';
import { day } from './situation.ts';

/** Invented months and a log of Kōwhai Terrace up to March 2026, of which one day has been. */

/** A day with what it saved. */
export const savingDay: Day = {
  ...day,
  usefulKwh: 5.4,
  usefulUncertaintyKwh: 0.5,
  savedKwh: 5.34,
  savedUncertaintyKwh: 0.5,
  savedMoney: 1.6,
  currency: 'NZD',
  savedCo2Kg: 0.53,
};

export function monthWith(name: string, savedKwh: number, changes: Partial<Month> = {}): Month {
  const { date: _, ...sums } = savingDay;
  return {
    ...sums,
    month: name,
    gainKwh: savedKwh * 1.25 + 4,
    uncertaintyKwh: Math.abs(savedKwh) * 0.04,
    measuredKwh: savedKwh * 1.25 + 4,
    usefulKwh: savedKwh * 1.06,
    usefulUncertaintyKwh: Math.abs(savedKwh) * 0.05,
    savedKwh,
    savedUncertaintyKwh: Math.abs(savedKwh) * 0.053,
    savedMoney: savedKwh * 0.3,
    savedCo2Kg: savedKwh * 0.1,
    days: 30,
    ...changes,
  };
}

/** The last twelve; the first of March alone has been of the last. */
export const yearOfMonths: Month[] = [
  monthWith('2025-03', 161, { days: 31 }),
  monthWith('2025-04', 122),
  monthWith('2025-05', 88, { days: 31 }),
  monthWith('2025-06', 62),
  monthWith('2025-07', 71, { days: 31 }),
  monthWith('2025-08', 108, { days: 31 }),
  monthWith('2025-09', 141, { days: 28 }),
  monthWith('2025-10', 168, { days: 31 }),
  monthWith('2025-11', 158),
  monthWith('2025-12', 149, { days: 31 }),
  monthWith('2026-01', 152, { days: 31 }),
  monthWith('2026-02', 131.4, { days: 28 }),
  monthWith('2026-03', 5.34, { gainKwh: 6.183, uncertaintyKwh: 0.19, days: 1 }),
];

/** Days of a month up to the `last`, but the 9th; of each the heat, and what it saved. */
export function daysOf(
  month: string,
  last: number,
  gainKwh: number,
  savedKwh: number,
  changes: Partial<Day> = {},
): Record<string, DayWithQuarters> {
  const days: Record<string, DayWithQuarters> = {};
  for (let n = 1; n <= last; n++) {
    if (n === 9) continue;
    const date = `${month}-${String(n).padStart(2, '0')}`;
    const from = new Date(Date.parse(`${date}T00:00:00Z`) - 13 * 3_600_000).toISOString();
    const until = new Date(Date.parse(from) + 86_400_000).toISOString();
    const sums = { ...savingDay, date, gainKwh, savedKwh, ...changes };
    days[date] = { ...dayWith({ date, from, until }), ...sums };
  }
  return days;
}

export const february = (
  year: number,
  gainKwh: number,
  savedKwh: number,
  changes: Partial<Day> = {},
) => daysOf(`${year}-02`, 28, gainKwh, savedKwh, changes);

export const logEntries: LogEntryShape[] = [
  {
    ...{ id: 'a', kind: 'bathing', from: '2026-03-01T07:00:00.000Z' },
    until: '2026-03-01T09:00:00.000Z',
  },
  { id: 'b', kind: 'filter-cleaned', from: '2026-02-20T21:00:00.000Z', note: 'Leaves in it.' },
  { id: 'c', kind: 'bucket-test', from: '2026-02-10T01:00:00.000Z', data: { lPerMin: 4.1 } },
  {
    ...{ id: 'd', kind: 'not-a-fault', from: '2025-12-10T01:00:00.000Z', note: 'We had it off.' },
    data: { fault: 'pump-not-running' },
  },
];
