import { logEntry, type NewLogEntry } from '../../../model/owner-log.ts';
import type { Day, Month } from '../../../model/shapes.ts';
import type { House } from './house.ts';
import { day } from './samples.ts';

/** A month of Kōwhai Terrace on paper: invented figures, as many of everything as a test wants. */

export const march: Month = {
  ...{ month: '2026-03', days: 31 },
  gainKwh: 158.4,
  lostKwh: 1.2,
  uncertaintyKwh: 6.1,
  measuredKwh: 158.4,
  basis: 'measured',
  coverage: 0.97,
  usefulKwh: 139.2,
  usefulUncertaintyKwh: 6.6,
  pumpKwh: 2.14,
  pumpHours: 180,
  litres: 39_000,
  savedKwh: 131.1,
  savedUncertaintyKwh: 7,
  savedMoney: 39.33,
  currency: 'NZD',
  savedCo2Kg: 13.1,
  expectedKwh: 240,
  sunKwhPerM2: 120,
  tubLowC: 34.5,
  tubHighC: 39.1,
  notCounted: [],
};

export const dayOf = (date: string, changes: Partial<Day> = {}): Day => ({
  ...day,
  date,
  gainKwh: 5.11,
  usefulKwh: 4.49,
  savedKwh: 4.23,
  notCounted: [],
  ...changes,
});

export const dates = (month: string, last: number): string[] =>
  Array.from({ length: last }, (_, n) => `${month}-${String(n + 1).padStart(2, '0')}`);

/** Half an hour of each of the first days in which nothing was heard. */
export const gaps = (count: number): Month['notCounted'] =>
  dates('2026-03', count).map((date) => ({
    from: `${date}T01:00:00.000Z`,
    to: `${date}T01:30:00.000Z`,
    why: 'not heard',
  }));

export interface Paper {
  month: Month;
  days: Day[];
  log: NewLogEntry[];
  /** When it is made. */
  at: string;
}

export const wholeMarch: Paper = {
  month: march,
  days: dates('2026-03', 31).map((date) => dayOf(date)),
  log: [],
  at: '2026-04-20T02:05:00Z',
};

/** The house tells this of `kowhai`. */
export function put({ month, days, log, at }: Paper, { watching, clock }: House): void {
  watching.months = async () => [month];
  watching.days = async () => days;
  watching.logs.kowhai = log.map((said, n) => logEntry(`entry-${n}`, said));
  clock.t = Date.parse(at);
}
