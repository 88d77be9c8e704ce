import { QUARTER } from '../../model/readings.ts';
import type { Db } from './database.ts';
import type { Bucket } from './store.ts';

interface Sums {
  count: number;
  min: number;
  sum: number;
  max: number;
}

/** Sums readings up in buckets of equal length. Whole quarters come from the roll-up, the rest from readings. */
export class Buckets {
  private readonly sql;

  constructor(db: Db) {
    this.sql = {
      next: db
        .prepare('SELECT t FROM reading WHERE series = ? AND t >= ? ORDER BY t LIMIT 1')
        .pluck(),
      ofReadings: db.prepare(
        `SELECT count(*) AS count, min(value) AS min, sum(value) AS sum, max(value) AS max
         FROM reading WHERE series = ? AND t >= ? AND t < ?`,
      ),
      ofQuarters: db.prepare(
        `SELECT sum(n) AS count, min(low) AS min, sum(sum) AS sum, max(high) AS max
         FROM rollup WHERE series = ? AND quarter >= ? AND quarter < ?`,
      ),
    };
  }

  /** The buckets that hold readings, one by one, so that something else can be done between two. */
  *of(series: number, from: number, to: number, bucketMs: number): Generator<Bucket> {
    const edges = new Edges(from, bucketMs);
    let t = this.next(series, from);
    while (t !== undefined && t < to) {
      const n = edges.bucketAt(t);
      const end = Math.min(edges.startOf(n + 1), to);
      const sums = this.sums(series, Math.max(edges.startOf(n), from), end);
      yield { from: from + n * bucketMs, ...sums };
      t = this.next(series, end);
    }
  }

  private next(series: number, from: number): number | undefined {
    return this.sql.next.get(series, from) as number | undefined;
  }

  private sums(series: number, from: number, to: number): Sums {
    const first = Math.min(Math.ceil(from / QUARTER) * QUARTER, to);
    const last = Math.max(Math.floor(to / QUARTER) * QUARTER, first);
    const total = { count: 0, min: Infinity, sum: 0, max: -Infinity };
    if (from < first) join(total, this.sql.ofReadings.get(series, from, first));
    if (first < last) join(total, this.sql.ofQuarters.get(series, first, last));
    if (last < to) join(total, this.sql.ofReadings.get(series, last, to));
    return total;
  }
}

function join(total: Sums, row: unknown): void {
  const part = row as Sums;
  if (!part.count) return;
  total.count += part.count;
  total.min = Math.min(total.min, part.min);
  total.sum = boundedSum(total.sum + boundedSum(part.sum));
  total.max = Math.max(total.max, part.max);
}

/**
 * A sum that left the range of numbers, held at its end. SQLite gives null where +∞ and −∞ met: one
 * such sum would otherwise make every later batch with that quarter fail.
 */
export const boundedSum = (sum: number | null): number =>
  Math.max(-Number.MAX_VALUE, Math.min(Number.MAX_VALUE, sum ?? 0));

/** Where buckets begin, to the millisecond, also where their length is no whole number of them. */
class Edges {
  private readonly from: number;
  private readonly bucketMs: number;

  constructor(from: number, bucketMs: number) {
    this.from = from;
    this.bucketMs = bucketMs;
  }

  bucketAt(t: number): number {
    return Math.floor((t - this.from) / this.bucketMs);
  }

  /** The first whole millisecond of a bucket; `bucketAt` decides, whatever the product rounds to. */
  startOf(n: number): number {
    let t = Math.ceil(this.from + n * this.bucketMs);
    while (this.bucketAt(t) < n) t++;
    while (this.bucketAt(t - 1) >= n) t--;
    return t;
  }
}
