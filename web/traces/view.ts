import { pointType } from '../../model/points.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { instantOf, type Place } from '../log/wall-time.ts';
import { dateAfter } from '../today/date-after.ts';

/** Which lines of which span are looked at, and how that stands in an address. */

/** Whole local days up to a date, today where none is said. */
export const spanDays = { day: 1, '3-days': 3, week: 7, month: 31, year: 366 } as const;

export type SpanName = keyof typeof spanDays;

export const spanNames = Object.keys(spanDays) as SpanName[];

export interface Span {
  from: number; // ms since 1970-01-01 UTC
  to: number;
}

/** As the address says it: a named span, two dates (both included), or two instants. */
export type Chosen =
  | { kind: 'named'; span: SpanName; last: string | null }
  | { kind: 'dates'; first: string; last: string }
  | ({ kind: 'instants' } & Span);

export interface View {
  /** null: those that are shown unless somebody chooses. */
  points: string[] | null;
  chosen: Chosen;
}

export const SHORTEST = 10 * MINUTE;
export const LONGEST = 2 * 366 * 24 * HOUR;

/** Times that dates can tell: years of four digits. */
const EARLIEST = Date.parse('1000-01-01T00:00:00Z');
const LATEST = Date.parse('9999-01-01T00:00:00Z');

/** What cannot be read is as if it had not been said: a day, today. */
export function viewOf(query: string): View {
  const said = new URLSearchParams(query);
  const points = said.get('points')?.split(',') ?? [];
  const known = [...new Set(points)].filter((point) => pointType(point) !== null);
  return { points: known.length > 0 ? known : null, chosen: chosenOf(said) };
}

function chosenOf(said: URLSearchParams): Chosen {
  const [from, to] = [said.get('from') ?? '', said.get('to') ?? ''];
  if (isDate(from) && isDate(to) && from <= to && daysBetween(from, to) * 24 * HOUR <= LONGEST) {
    return { kind: 'dates', first: from, last: to };
  }
  const span = { from: instantIn(from), to: instantIn(to) };
  if (span.to - span.from >= 1 && span.to - span.from <= LONGEST && span.from > EARLIEST) {
    return { kind: 'instants', ...span };
  }
  const name = said.get('span') as SpanName;
  return {
    kind: 'named',
    span: spanNames.includes(name) ? name : 'day',
    last: from === '' && isDate(to) ? to : null,
  };
}

/** The address of a view, its question mark included; as short as it can be. */
export function queryOf({ points, chosen }: View): string {
  const said: [string, string][] = [];
  if (points !== null) said.push(['points', points.join(',')]);
  if (chosen.kind === 'named') {
    if (chosen.span !== 'day') said.push(['span', chosen.span]);
    if (chosen.last !== null) said.push(['to', chosen.last]);
  } else if (chosen.kind === 'dates') {
    said.push(['from', chosen.first], ['to', chosen.last]);
  } else {
    said.push(['from', toSecond(chosen.from)], ['to', toSecond(chosen.to)]);
  }
  const query = said.map(([name, text]) => `${name}=${text}`).join('&');
  return query === '' ? '' : `?${query}`;
}

/** From when to when that is, by the calendar of where the tub stands. */
export function spanOf(chosen: Chosen, today: string, place: Place): Span {
  if (chosen.kind === 'instants') return { from: chosen.from, to: chosen.to };
  const [first, last] = datesOf(chosen, today);
  return { from: midnight(first, place), to: midnight(dateAfter(last, 1), place) };
}

export function datesOf(
  chosen: Exclude<Chosen, { kind: 'instants' }>,
  today: string,
): [first: string, last: string] {
  if (chosen.kind === 'dates') return [chosen.first, chosen.last];
  const last = chosen.last ?? today;
  return [dateAfter(last, 1 - spanDays[chosen.span]), last];
}

/** The same length one step earlier (−1) or later (1). */
export function stepped(chosen: Chosen, steps: -1 | 1, today: string): Chosen {
  if (chosen.kind === 'instants') {
    const shift = steps * (chosen.to - chosen.from);
    return { kind: 'instants', from: chosen.from + shift, to: chosen.to + shift };
  }
  const [first, last] = datesOf(chosen, today);
  const days = steps * (daysBetween(first, last) + 1);
  const moved = dateAfter(last, days);
  if (chosen.kind === 'named') return { ...chosen, last: moved === today ? null : moved };
  return { kind: 'dates', first: dateAfter(first, days), last: moved };
}

/**
 * A span that is `times` as long, in which the instant `around` stays where it is. Held between ten
 * minutes and two years.
 */
export function zoomed({ from, to }: Span, times: number, around: number): Span {
  const length = Math.min(LONGEST, Math.max(SHORTEST, (to - from) * times));
  const share = (around - from) / (to - from);
  return within({ from: around - share * length, to: around + (1 - share) * length });
}

export const shifted = ({ from, to }: Span, ms: number): Span =>
  within({ from: from + ms, to: to + ms });

function within({ from, to }: Span): Span {
  const shift = Math.max(0, EARLIEST + 1000 - from) - Math.max(0, to - LATEST);
  return { from: Math.round(from + shift), to: Math.round(to + shift) };
}

/** What a date begins with; where clocks skip midnight, an instant beside it. */
export const midnight = (date: string, place: Place): number =>
  instantOf(`${date}T00:00`, place) ?? Date.parse(date);

export const daysBetween = (first: string, last: string): number =>
  Math.round((Date.parse(last) - Date.parse(first)) / (24 * HOUR));

const isDate = (text: string): boolean =>
  /^[1-9]\d{3}-\d{2}-\d{2}$/.test(text) &&
  !Number.isNaN(Date.parse(text)) &&
  new Date(text).toISOString().startsWith(text);

function instantIn(text: string): number {
  return /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,3})?)?Z$/.test(text)
    ? Date.parse(text)
    : Number.NaN;
}

/** An instant in an address, to the second. */
const toSecond = (t: number): string => `${new Date(t).toISOString().slice(0, 19)}Z`;
