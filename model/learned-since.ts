import { dayBounds } from './civil-time.ts';
import type { Learned, LearnedValue } from './learned.ts';
import type { LearnedShape } from './shapes.ts';

/** What was worked with on a day. */
export interface LearnedDay {
  date: string;
  learned: Learned;
}

/** A value that moved by less than this share is as it was. */
const ROUNDING = 0.02;

/**
 * Learned values as they are told: those of the newest day, each with the first of the days in a row on
 * which it was as it is now, to 2 %. What rests on no readings is as it was entered, and says no date.
 *
 * @param days  in any order
 * @param zone  in which they are days
 */
export function learnedShape(days: readonly LearnedDay[], zone: string): LearnedShape {
  const newestFirst = days.toSorted((a, b) => (a.date < b.date ? 1 : -1));
  const newest = newestFirst[0];
  if (!newest) return {};
  const names = Object.keys(newest.learned) as (keyof Learned)[];
  return Object.fromEntries(
    names.map((name) => {
      const { readingsFrom, readingsTo, ...value } = newest.learned[name];
      const from = readingsTo === null ? null : sameSince(newestFirst, name, zone);
      return [
        name,
        { ...value, from: iso(from), readingsFrom: iso(readingsFrom), readingsTo: iso(readingsTo) },
      ];
    }),
  );
}

function sameSince(newestFirst: readonly LearnedDay[], name: keyof Learned, zone: string): number {
  const now = newestFirst[0]!.learned[name];
  const changed = newestFirst.findIndex(({ learned }) => !isSame(learned[name], now));
  return dayBounds(newestFirst.at(changed < 0 ? -1 : changed - 1)!.date, zone).from;
}

const isSame = (a: LearnedValue, b: LearnedValue): boolean =>
  a.basis === b.basis && Math.abs(a.value - b.value) <= ROUNDING * Math.abs(b.value);

const iso = (t: number | null): string | null => (t === null ? null : new Date(t).toISOString());
