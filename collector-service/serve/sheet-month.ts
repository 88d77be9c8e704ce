import { addDays, dayBounds, localDate, monthBounds, type Span } from '../../model/civil-time.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Day, Month } from '../../model/shapes.ts';
import type { TubSettings } from '../../model/tub-settings.ts';

/** Everything that stands on a month's sheet, as figures. */
export interface SheetMonth {
  tub: string;
  name: string;
  timeZone: string;
  isDemo: boolean;
  backup: TubSettings['backup']['kind'];
  month: Month;
  days: readonly Day[];
  /** Those of the month that have come, in order. */
  dates: readonly string[];
  daysOfMonth: number;
  bounds: Span;
  isOver: boolean;
  /** When the sheet is made [ms]. */
  at: number;
  /** What touches the month, the oldest first. */
  log: readonly LogEntry[];
}

/** The dates of a month, in order. */
export function datesOf(month: string): string[] {
  const dates: string[] = [];
  for (let date = `${month}-01`; date.startsWith(month); date = addDays(date, 1)) dates.push(date);
  return dates;
}

/** Entries that tell of the month or go on into it, the oldest first. */
export function logOf(log: readonly LogEntry[], month: string, timeZone: string): LogEntry[] {
  const { from, to } = monthBounds(month, timeZone);
  return log
    .filter((entry) => entry.from < to && (entry.until ?? entry.from) >= from)
    .toSorted((a, b) => a.from - b.from);
}

/** Whole days that do not count, by why, and parts of days that do not. */
export interface NotCounted {
  days: ReadonlyMap<string, string[]>;
  parts: Month['notCounted'];
  /** Days that were worked out, and of which what was saved is not known all the same. */
  savedUnknown: string[];
}

export function notCountedOf(of: SheetMonth): NotCounted {
  const days = new Map<string, string[]>();
  const leaveOut = (date: string, why: string) => days.set(why, [...(days.get(why) ?? []), date]);
  const heard = new Map(of.days.map((day) => [day.date, day]));
  const parts: Month['notCounted'] = [];
  for (const date of of.dates) {
    if (!heard.has(date)) leaveOut(date, 'not heard');
  }
  for (const span of of.month.notCounted) {
    const date = localDate(Date.parse(span.from), of.timeZone);
    if (isWholeDay(span, date, of)) leaveOut(date, span.why);
    else parts.push(span);
  }
  const left = new Set([...days.values()].flat());
  const isUnknown = (date: string) => !left.has(date) && heard.get(date)!.savedKwh === null;
  const savedUnknown = of.backup === 'none' ? [] : of.dates.filter(isUnknown);
  return {
    days: new Map([...days].map(([why, dates]) => [why, dates.sort()])),
    parts,
    savedUnknown,
  };
}

/** All of a day, as far as it has come. */
function isWholeDay(span: Month['notCounted'][number], date: string, of: SheetMonth): boolean {
  const { from, to } = dayBounds(date, of.timeZone);
  return Date.parse(span.from) <= from && Date.parse(span.to) >= Math.min(to, of.at);
}

/** Dates that follow each other, as their first and last. */
export function dateRuns(dates: readonly string[]): string[][] {
  const runs: string[][] = [];
  for (const date of dates) {
    const run = runs.at(-1);
    if (run && addDays(run.at(-1)!, 1) === date) run[1] = date;
    else runs.push([date]);
  }
  return runs;
}
