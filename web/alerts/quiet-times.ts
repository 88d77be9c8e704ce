import { HOUR } from '../../model/readings.ts';
import type { LocalClock } from '../today/clock-hours.ts';
import { dateAfter } from '../today/date-after.ts';

/** Until when an alert may be kept quiet, by the clock and the calendar of where the tub stands. */

/** When the day's work is done, and when a day begins. */
const EVENING = 20;
const MORNING = 8;

/** A place's calendar and clock. */
export interface Place extends LocalClock {
  dateOf(instant: number): string;
}

export interface QuietTimes {
  /** null where less than an hour would be left of it. */
  tonight: number | null;
  tomorrow: number;
  week: number;
  /** The first and the last date that may be chosen. */
  dates: { first: string; last: string };
}

export function quietTimes(present: number, place: Place): QuietTimes {
  const today = place.dateOf(present);
  const tonight = instantAt(today, EVENING, place);
  return {
    tonight: tonight - present < HOUR ? null : tonight,
    tomorrow: morningOf(dateAfter(today, 1), place),
    week: morningOf(dateAfter(today, 7), place),
    dates: { first: dateAfter(today, 1), last: dateAfter(today, 365) },
  };
}

export const morningOf = (date: string, place: Place): number => instantAt(date, MORNING, place);

/** When clocks in the place show that full hour of that date [ms since 1970-01-01 UTC]. */
function instantAt(date: string, hour: number, place: Place): number {
  const wanted = Date.parse(`${date}T00:00:00Z`) + hour * HOUR;
  const ahead = (instant: number) => wallOf(instant, place) - instant;
  const guess = wanted - ahead(wanted);
  // The guess may lie on the other side of a change of clocks.
  return wanted - ahead(guess);
}

/** What clocks show, as if it were UTC. */
function wallOf(instant: number, { dateOf, hour, minute }: Place): number {
  const clock = hour(instant) * HOUR + minute(instant) * 60_000 + (instant % 60_000);
  return Date.parse(`${dateOf(instant)}T00:00:00Z`) + clock;
}
