import { HOUR, QUARTER } from '../../model/readings.ts';
import type { Trace } from './trace.ts';
import type { Span } from './view.ts';

/** A line as a table: at most some thirty rows, each of several buckets. */

export interface TableRow {
  from: number;
  /** null where nothing was heard. */
  read: { low: number; mean: number; high: number } | null;
}

const MOST_ROWS = 32;
const DAY = 24 * HOUR;
const lengths = [
  ...[QUARTER / 15, QUARTER / 3, QUARTER, QUARTER * 2],
  ...[1, 2, 3, 6, 12].map((n) => n * HOUR),
  ...[1, 2, 7, 14, 28].map((n) => n * DAY),
];

/** Rows are counted from where the view begins: a day's from its midnight. */
export function tableRows({ buckets, bucketMs }: Trace, { from, to }: Span): TableRow[] {
  const length =
    lengths.find((each) => (to - from) / each <= MOST_ROWS && each >= bucketMs) ?? 28 * DAY;
  const rows: TableRow[] = [];
  let n = 0;
  for (let start = from; start < to; start += length) {
    let [low, high, sum, count] = [Infinity, -Infinity, 0, 0];
    // A bucket belongs to the row in which its middle lies.
    while (n < buckets.length && buckets[n]!.from + bucketMs / 2 < Math.min(to, start + length)) {
      const bucket = buckets[n++]!;
      if (bucket.from + bucketMs / 2 < start) continue;
      low = Math.min(low, bucket.min);
      high = Math.max(high, bucket.max);
      sum += bucket.mean * bucket.count;
      count += bucket.count;
    }
    rows.push({ from: start, read: count === 0 ? null : { low, mean: sum / count, high } });
  }
  return rows;
}
