import { HOUR, MINUTE, QUARTER } from '../../model/readings.ts';
import type { Span } from './view.ts';

/** At most so many spans of equal length stand for a line. */
export const MOST_BUCKETS = 400;

const DAY = 24 * HOUR;

/** Each a part of a day, so that days look alike. */
const lengths = [
  ...[1, 2, 5, 10, 15, 30].map((s) => 1000 * s),
  ...[1, 2, 5].map((m) => m * MINUTE),
  ...[1, 2].map((n) => n * QUARTER),
  ...[1, 2, 3, 4, 6, 8, 12, 24].map((h) => h * HOUR),
];

export interface Asked extends Span {
  bucketMs: number;
  buckets: number;
}

/**
 * What to ask for so that a view is seen whole: buckets counted from a midnight. From a quarter hour on
 * they are whole quarter hours, which the store has summed up already, so that no reading has to be
 * looked at; from a day on they are whole days, since any other length would make waves of days.
 *
 * @param midnight  an instant at which a day began, near the view
 */
export function spansAsked({ from, to }: Span, midnight: number): Asked {
  // One bucket more may be needed where the view begins within one.
  const least = (to - from) / (MOST_BUCKETS - 1);
  const bucketMs = lengths.find((length) => length >= least) ?? Math.ceil(least / DAY) * DAY;
  const start = midnight + Math.floor((from - midnight) / bucketMs) * bucketMs;
  const buckets = Math.ceil((to - start) / bucketMs);
  return { from: start, to: start + buckets * bucketMs, bucketMs, buckets };
}

/** Nights are narrower than a finger in longer spans, and are not drawn there. */
export const showsNights = ({ from, to }: Span): boolean => to - from <= 32 * DAY;
