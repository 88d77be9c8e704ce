import { Temporal } from 'temporal-polyfill';

/**
 * Local days of a place: dates are `YYYY-MM-DD`, instants ms since 1970-01-01 UTC, zones IANA names
 * that are trusted to exist.
 *
 * A local day runs from its first instant to the first instant of the next date. So days follow each
 * other without gap or overlap, even where clocks go back across midnight. They have 23, 23.5, 24.5
 * or 25 h where clocks move, and may begin at 01:00; a date that a place skipped is an empty span.
 *
 * The zone's rules are asked once for each day (some 0.1 ms) and the answer is kept; after that each
 * of these functions takes about a microsecond, and less for instants of the same day in a row.
 *
 * Checked by: test/physics/civil-time.test.ts.
 */

/** A span of time, `to` excluded [ms since 1970-01-01 UTC]. */
export interface Span {
  from: number;
  to: number;
}

interface LocalDay extends Span {
  date: string;
  /** The clock shows the time since `from` all day long. */
  plain: boolean;
}

interface KnownDays {
  byDate: Map<string, LocalDay>;
  /** The day of the last instant asked for: most questions in a row are about one day. */
  last: LocalDay;
}

const MINUTE = 60_000; // ms
const DAY = 86_400_000; // ms
const DAYS_KEPT = 800; // of each zone: two years and more
const ZONES_KEPT = 100;
const zones = new Map<string, KnownDays>();

/** The local date of an instant. */
export const localDate = (t: number, timeZone: string): string => dayAt(t, timeZone).date;

/** The local day of a date. */
export function dayBounds(date: string, timeZone: string): Span {
  const { from, to } = dayOf(date, timeZone);
  return { from, to };
}

/** The local month `YYYY-MM`. */
export function monthBounds(month: string, timeZone: string): Span {
  const next = addDays(`${month}-28`, 4).slice(0, 7);
  return {
    from: dayOf(`${month}-01`, timeZone).from,
    to: dayOf(`${next}-01`, timeZone).from,
  };
}

/** What the clock on the wall shows, in minutes since 00:00; some come twice or never where it moves. */
export function minuteOfDay(t: number, timeZone: string): number {
  const day = dayAt(t, timeZone);
  if (day.plain) return Math.floor((t - day.from) / MINUTE);
  const { hour, minute } = Temporal.Instant.fromEpochMilliseconds(t).toZonedDateTimeISO(timeZone);
  return hour * 60 + minute;
}

/** The local day of the week of an instant: 1 Monday … 7 Sunday (ISO 8601). */
export const weekday = (t: number, timeZone: string): number =>
  new Date(localDate(t, timeZone)).getUTCDay() || 7;

/**
 * The instant at which the clock shows `HH:MM` on a date; `24:00` is the day's end. A time that the
 * clock skips is taken for as long after midnight as if it had not moved, one that it shows twice for
 * the first.
 */
export function instantOf(date: string, time: string, timeZone: string): number {
  const day = dayOf(date, timeZone);
  if (time === '24:00') return day.to;
  if (day.plain) return day.from + Date.parse(`1970-01-01T${time}Z`);
  return Temporal.PlainDateTime.from(`${date}T${time}`).toZonedDateTime(timeZone).epochMilliseconds;
}

/** The date n days later; earlier where n is negative. */
export const addDays = (date: string, n: number): string => utcDate(Date.parse(date) + n * DAY);

const utcDate = (t: number): string => new Date(t).toISOString().slice(0, 10);

function dayAt(t: number, timeZone: string): LocalDay {
  const last = zones.get(timeZone)?.last ?? dayOf(utcDate(t), timeZone);
  if (last.from <= t && t < last.to) return last;
  // As if the clock had not moved since the last day; where it has, the next day or the one before.
  let day = dayOf(utcDate(Date.parse(last.date) + t - last.from), timeZone);
  while (t < day.from) day = dayOf(addDays(day.date, -1), timeZone);
  while (t >= day.to) day = dayOf(addDays(day.date, 1), timeZone);
  zones.get(timeZone)!.last = day;
  return day;
}

function dayOf(date: string, timeZone: string): LocalDay {
  const known = zones.get(timeZone)?.byDate.get(date);
  if (known) return known;
  const day = lookUp(date, timeZone);
  keep(day, timeZone);
  return day;
}

function lookUp(date: string, timeZone: string): LocalDay {
  const start = Temporal.PlainDate.from(date).toZonedDateTime(timeZone);
  const end = Temporal.PlainDate.from(date).add({ days: 1 }).toZonedDateTime(timeZone);
  const from = start.epochMilliseconds;
  const to = end.epochMilliseconds;
  const atMidnight = start.hour === 0 && start.minute === 0;
  const plain = atMidnight && to - from === DAY && start.offset === end.offset;
  return { date, from, to, plain };
}

function keep(day: LocalDay, timeZone: string): void {
  const zone = zones.get(timeZone);
  if (zone) {
    if (zone.byDate.size >= DAYS_KEPT) zone.byDate.clear();
    zone.byDate.set(day.date, day);
    return;
  }
  if (zones.size >= ZONES_KEPT) zones.clear();
  zones.set(timeZone, { byDate: new Map([[day.date, day]]), last: day });
}
