/** One value that one point had at one time, after unit conversion, never corrected. */
export interface Reading {
  tub: string;
  point: string;
  /** When the value was so [ms since 1970-01-01 UTC]. */
  t: number;
  value: number;
}

/** The readings of one point in the order of their times; no time stands twice. */
export interface Trace {
  t: Float64Array; // ms since 1970-01-01 UTC
  v: Float64Array;
}

/** What one tub's points said over a span; a point of which nothing is kept is absent. */
export type Traces = ReadonlyMap<string, Trace>;

export const emptyTrace: Trace = { t: new Float64Array(0), v: new Float64Array(0) };

/** Index of the first reading at or after `t`; the length where there is none. */
export function firstAtOrAfter(times: Float64Array, t: number): number {
  let low = 0;
  let high = times.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (times[middle]! < t) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Index of the last reading at or before `t`, or −1. */
export function lastAtOrBefore(times: Float64Array, t: number): number {
  const next = firstAtOrAfter(times, t);
  return next < times.length && times[next] === t ? next : next - 1;
}

export const MINUTE = 60_000; // ms
export const HOUR = 3_600_000; // ms
export const QUARTER = 900_000; // ms

/** Start of the quarter hour, aligned to UTC, that holds `t`. */
export const quarterOf = (t: number): number => Math.floor(t / QUARTER) * QUARTER;
