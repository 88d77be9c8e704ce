import { setImmediate as turn } from 'node:timers/promises';
import { localDate, type Span } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import { QUARTER, quarterOf } from '../../model/readings.ts';
import type { Day } from '../../model/shapes.ts';
import { spoiltBy } from '../../model/spoilt.ts';
import type { Store } from '../store/store.ts';
import { Calendar } from './calendar.ts';
import { DayWork, nothingAround } from './day-work.ts';
import { datesIn } from './days-book.ts';
import { newestSlice } from './ledger-work.ts';
import { changesFrom, type SetupBook, zoneOf } from './setup-book.ts';

/** A tub of the store, and the present by which its days are told. */
interface Heard {
  store: Store;
  tub: string;
  span: Span;
  now: number;
}

/**
 * The local dates of a tub whose days another set-up would change, found by working them out under
 * it; changes nothing.
 */
export async function changedDates(
  store: Store,
  tub: string,
  before: SetupBook,
  after: SetupBook,
  now: number,
): Promise<string[]> {
  const span = await store.span(tub);
  const since = span && changesFrom(before, after, tub, span.from);
  if (!span || since === null) return [];
  const heard = { store, tub, span, now };
  const figures = new Map((await store.days(tub)).map((day) => [day.date, day]));
  const is = await daysNow(heard, before, figures);
  const sameZone = zoneOf(before, tub) === zoneOf(after, tub);
  const will = await daysUnder(heard, after, sameZone ? figures : new Map(), since);
  return [...new Set([...is.keys(), ...will.keys()])]
    .filter((date) => is.get(date) !== will.get(date))
    .sort();
}

async function daysNow(
  { store, tub, span, now }: Heard,
  book: SetupBook,
  figures: ReadonlyMap<string, DayFigures>,
): Promise<Map<string, string>> {
  const zone = zoneOf(book, tub);
  if (zone === undefined) return new Map();
  const rows = {
    quarters: (from: number, to: number) => store.ledger(tub, from, to),
    figures: (date: string) => figures.get(date) ?? null,
  };
  const calendar = new Calendar(book.of(tub), rows, now);
  return asText(await calendar.days(localDate(span.from, zone), localDate(span.to, zone)));
}

async function daysUnder(
  { store, tub, span, now }: Heard,
  book: SetupBook,
  stored: ReadonlyMap<string, DayFigures>,
  since: number,
): Promise<Map<string, string>> {
  const zone = zoneOf(book, tub);
  if (zone === undefined) return new Map();
  const versions = book.of(tub);
  const from = quarterOf(Math.max(since, span.from));
  const end = quarterOf(span.to) + QUARTER;
  const spans: Span[] = [];
  const parts: Quarter[][] = [];
  for (let to = end; to > from; ) {
    const slice = await newestSlice(store, tub, versions, { from, to });
    if (slice.rows.length > 0) {
      spans.push({ from: slice.from, to });
      parts.push(slice.rows);
    }
    to = slice.emptyFrom;
    await turn();
  }
  const changed = parts.reverse().flat();
  const source = {
    quarters: async (a: number, b: number) => [
      ...(await store.ledger(tub, a, Math.min(b, from))),
      ...changed.slice(firstFrom(changed, a), firstFrom(changed, b)),
    ],
    traces: (points: readonly string[], a: number, b: number) => store.traces(tub, points, a, b),
  };
  const figures = new Map(stored);
  const dates = datesIn({ from, to: end, spans }, figures, span, zone);
  const all = [...new Set([...figures.keys(), ...dates])].sort();
  const around = { ...nothingAround, spoilt: spoiltBy(await store.alerts(tub, false)) };
  await new DayWork(figures, source, versions, span.to, around).run(all, new Set(dates));
  const rows = {
    quarters: source.quarters,
    figures: (date: string) => figures.get(date) ?? null,
  };
  const calendar = new Calendar(versions, rows, now);
  return asText(await calendar.days(localDate(span.from, zone), localDate(span.to, zone)));
}

/** Index of the first row at or after an instant. */
function firstFrom(rows: readonly Quarter[], t: number): number {
  let [low, high] = [0, rows.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (rows[middle]!.from < t) low = middle + 1;
    else high = middle;
  }
  return low;
}

const asText = (days: readonly Day[]): Map<string, string> =>
  new Map(days.map((day) => [day.date, JSON.stringify(day)]));
