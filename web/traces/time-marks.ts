import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Place } from '../log/wall-time.ts';
import { dateAfter } from '../today/date-after.ts';
import { daysBetween, midnight, type Span } from './view.ts';

/** Where the axis of time bears a mark, by the clock and the calendar of where the tub stands. */

export interface TimeMark {
  at: number;
  label: string;
}

export interface TimeNames {
  /** `14:05` */
  time(at: number): string;
  /** `14`, `2 pm` */
  hour(at: number): string;
  /** `3 Mar` */
  date(date: string): string;
  /** `Mar` */
  month(date: string): string;
}

const short = [1, 2, 5, 10, 15, 30].map((n) => n * MINUTE);
const hours = [1, 2, 3, 6, 12].map((n) => n * HOUR);
const days = [1, 2, 4, 7, 14];
const months = [1, 2, 3, 6];
const DAY = 24 * HOUR;

/** At most `most` marks. */
export function timeMarks(view: Span, most: number, place: Place, names: TimeNames): TimeMark[] {
  const length = view.to - view.from;
  const step = [...short, ...hours].find((each) => length / each <= most);
  if (step !== undefined) return clockMarks(view, step, place, names);
  const day = days.find((each) => length / (each * DAY) <= most);
  if (day !== undefined) return dateMarks(view, day, place, names);
  const month = months.find((each) => length / (each * 30 * DAY) <= most) ?? 12;
  return monthMarks(view, month, place, names);
}

/** Counted from each midnight: on the day of a change of clocks the labels tell what they show. */
function clockMarks({ from, to }: Span, step: number, place: Place, names: TimeNames): TimeMark[] {
  const marks: TimeMark[] = [];
  const whole = step >= HOUR;
  const within = place.dateOf(from) === place.dateOf(to - 1);
  for (let date = place.dateOf(from); ; date = dateAfter(date, 1)) {
    const start = midnight(date, place);
    if (start > to) return marks;
    const end = midnight(dateAfter(date, 1), place);
    const skipped = Math.max(0, Math.ceil((from - start) / step));
    for (let at = start + skipped * step; at < end && at <= to; at += step) {
      const label =
        at === start && !within ? names.date(date) : (whole ? names.hour : names.time)(at);
      marks.push({ at, label });
    }
  }
}

function dateMarks({ from, to }: Span, every: number, place: Place, names: TimeNames): TimeMark[] {
  const marks: TimeMark[] = [];
  let date = place.dateOf(from);
  // The same dates bear marks, wherever the view begins.
  date = dateAfter(date, -(daysBetween('2000-01-03', date) % every));
  for (;;) {
    const at = midnight(date, place);
    if (at > to) return marks;
    if (at >= from) marks.push({ at, label: names.date(date) });
    date = dateAfter(date, every);
  }
}

function monthMarks({ from, to }: Span, every: number, place: Place, names: TimeNames): TimeMark[] {
  const marks: TimeMark[] = [];
  const [year, month] = place.dateOf(from).split('-').map(Number);
  for (let n = year! * 12 + Math.floor((month! - 1) / every) * every; ; n += every) {
    const date = `${Math.floor(n / 12)}-${String((n % 12) + 1).padStart(2, '0')}-01`;
    const at = midnight(date, place);
    if (at > to) return marks;
    if (at >= from) marks.push({ at, label: names.month(date) });
  }
}
