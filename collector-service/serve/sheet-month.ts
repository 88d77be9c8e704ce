import { addDays, monthBounds, type Span } from '../../model/civil-time.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Day, Month } from '../../model/shapes.ts';
import type { TubSettings } from '../../model/tub-settings.ts';

/** Everything that stands on a month's sheet, as figures. */
export interface SheetMonth {
  tub: string;
  name: string;
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

/** Days that count for nothing as a whole: nothing was heard, or what was saved is not known. */
export function daysWithout({ dates, days }: SheetMonth): {
  silent: string[];
  savedUnknown: string[];
} {
  const heard = new Map(days.map((day) => [day.date, day]));
  const isSilent = (date: string) => (heard.get(date)?.coverage ?? 0) === 0;
  const unknown = (date: string) => !isSilent(date) && heard.get(date)!.savedKwh === null;
  return { silent: dates.filter(isSilent), savedUnknown: dates.filter(unknown) };
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
