import { defaultLongestGapMin, type PointKind, pointType } from '../../model/points.ts';
import { MINUTE } from '../../model/readings.ts';
import type { Span } from './view.ts';

/** One line: what a point read, summed up in buckets of equal length; those without a reading are absent. */
export interface Trace {
  point: string;
  kind: PointKind;
  bucketMs: number;
  /** Silence that is longer leaves a gap in the line [ms]. */
  longestGapMs: number;
  buckets: readonly Bucket[];
}

export interface Bucket {
  from: number; // ms since 1970-01-01 UTC
  min: number;
  mean: number;
  max: number;
  count: number;
}

/** As it crosses the wire. */
export interface ToldBucket {
  from: string;
  min: number;
  mean: number;
  max: number;
  count: number;
}

export function traceOf(
  point: string,
  told: readonly ToldBucket[],
  bucketMs: number,
  longestGapMin: number | undefined,
): Trace {
  const kind = pointType(point)?.kind ?? 'temperature';
  return {
    point,
    kind,
    bucketMs,
    longestGapMs: (longestGapMin ?? defaultLongestGapMin(kind)) * MINUTE,
    buckets: told.map((bucket) => ({ ...bucket, from: Date.parse(bucket.from) })),
  };
}

/**
 * Whether nothing is known between two buckets that follow each other. A reading stands somewhere in its
 * bucket, so that the silence is at least as long as what lies between both.
 */
export const isGap = ({ bucketMs, longestGapMs }: Trace, a: Bucket, b: Bucket): boolean =>
  b.from - (a.from + bucketMs) >= Math.max(1, longestGapMs);

/** Spans of the view up to the present in which a point was not heard, in order. */
export function gapsOf(trace: Trace, view: Span, present: number): Span[] {
  const { buckets, bucketMs, longestGapMs } = trace;
  const end = Math.min(view.to, present);
  const gaps: Span[] = [];
  let heardUntil: number | null = null;
  for (const { from } of buckets) {
    if (from + bucketMs <= view.from) continue;
    if (from >= end) break;
    const since = heardUntil ?? view.from;
    if (from - since >= Math.max(1, longestGapMs)) gaps.push({ from: since, to: from });
    heardUntil = from + bucketMs;
  }
  const since = heardUntil ?? view.from;
  if (end - since >= Math.max(1, longestGapMs)) gaps.push({ from: since, to: end });
  return gaps;
}

/** What several have in common. */
export function common(all: readonly (readonly Span[])[]): Span[] {
  const [first = [], ...rest] = all;
  return rest.reduce<Span[]>(
    (found, others) =>
      found.flatMap((a) =>
        others.flatMap((b) => {
          const both = { from: Math.max(a.from, b.from), to: Math.min(a.to, b.to) };
          return both.from < both.to ? [both] : [];
        }),
      ),
    [...first],
  );
}

/** The bucket that tells of an instant: its own, or the last before it as long as that may stand. */
export function readAt({ buckets, bucketMs, longestGapMs, kind }: Trace, t: number): Bucket | null {
  let low = 0;
  let high = buckets.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (buckets[middle]!.from <= t) low = middle + 1;
    else high = middle;
  }
  const found = buckets[low - 1];
  if (found === undefined) return null;
  if (t < found.from + bucketMs) return found;
  // Of a switch that moved within its bucket nobody knows how it stood afterwards.
  if (kind === 'flag' && found.min !== found.max) return null;
  return t - (found.from + bucketMs) < longestGapMs ? found : null;
}

/** The lowest and the highest that was read in a span, and when; null where nothing was. */
export function extremes({ buckets, bucketMs }: Trace, { from, to }: Span) {
  const seen = buckets.filter((bucket) => bucket.from + bucketMs > from && bucket.from < to);
  const [first] = seen;
  if (first === undefined) return null;
  let [low, high] = [first, first];
  for (const bucket of seen) {
    if (bucket.min < low.min) low = bucket;
    if (bucket.max > high.max) high = bucket;
  }
  return {
    low: low.min,
    lowAt: low.from,
    high: high.max,
    highAt: high.from,
    first,
    last: seen.at(-1)!,
  };
}
