import { QUARTER, type Reading, type Trace } from '../../model/readings.ts';
import type { Db } from './database.ts';
import type { Bucket, PagePlace } from './store.ts';

/** Span of one point's readings that a batch changed. */
export interface Changed {
  tub: string;
  point: string;
  from: number;
  to: number;
}

interface Series {
  id: number;
  tub: string;
  point: string;
}

interface Grown {
  n: number;
  low: number;
  sum: number;
  high: number;
  /** A greater value took another's place: the quarter is summed from its readings again. */
  replaced: boolean;
}

/** The readings, a row each, and their quarter-hour roll-ups, kept in step with them. */
export class ReadingsTable {
  private readonly series = new Map<string, Series>();
  private readonly sql;

  constructor(db: Db) {
    this.sql = statements(db);
  }

  /** Inside a transaction: keeps readings and tells which spans changed. */
  keep(readings: readonly Reading[]): Changed[] {
    const changed = new Map<number, Changed>();
    const grown = new Map<number, Map<number, Grown>>();
    for (const { tub, point, t, value } of readings) {
      const { id } = this.seriesOf(tub, point);
      const isNew = this.sql.insert.run(id, t, value).changes === 1;
      if (!isNew && this.sql.raise.run(value, id, t, value).changes === 0) continue;
      const span = changed.get(id);
      if (!span) changed.set(id, { tub, point, from: t, to: t });
      else if (t < span.from) span.from = t;
      else if (t > span.to) span.to = t;
      grow(grown, id, t, value, !isNew);
    }
    this.rollUp(grown);
    return [...changed.values()];
  }

  private rollUp(grown: Map<number, Map<number, Grown>>): void {
    for (const [id, quarters] of grown) {
      for (const [quarter, { n, low, sum, high, replaced }] of quarters) {
        if (replaced) this.sql.rollUpAgain.run(quarter, id, quarter, quarter + QUARTER);
        else this.sql.rollUp.run(id, quarter, n, low, sum, high);
      }
    }
  }

  private seriesOf(tub: string, point: string): Series {
    const key = `${tub}/${point}`;
    const known = this.series.get(key) ?? (this.sql.find.get(tub, point) as Series | undefined);
    if (known) {
      this.series.set(key, known);
      return known;
    }
    this.sql.addSeries.run(tub, point);
    const made = this.sql.find.get(tub, point) as Series;
    this.series.set(key, made);
    return made;
  }

  private find(tub: string, point: string): number | null {
    return (this.sql.find.get(tub, point) as Series | undefined)?.id ?? null;
  }

  /** After a transaction was undone, series made in it are not there. */
  forget(): void {
    this.series.clear();
  }

  forgetTub(tub: string): void {
    for (const point of this.points(tub)) {
      const id = this.find(tub, point);
      for (const sql of this.sql.remove) sql.run(id);
    }
    this.forget();
  }

  points(tub: string): string[] {
    return this.sql.points.all(tub) as string[];
  }

  recent(tub: string, count: number): Map<string, Trace> {
    const traces = new Map<string, Trace>();
    for (const point of this.points(tub)) {
      const rows = this.sql.newest.all(this.find(tub, point), count) as [number, number][];
      if (rows.length > 0) traces.set(point, traceOf(rows.reverse()));
    }
    return traces;
  }

  span(tub: string): { from: number; to: number } | null {
    const { from, to } = this.sql.span.get(tub) as { from: number | null; to: number | null };
    return from === null || to === null ? null : { from, to };
  }

  trace(tub: string, point: string, from: number, to: number, nearestMs: number): Trace | null {
    const id = this.find(tub, point);
    if (id === null) return null;
    const rows = this.sql.between.all(id, from, to) as [number, number][];
    const before =
      nearestMs > 0
        ? (this.sql.before.get(id, from, from - nearestMs) as [number, number] | undefined)
        : undefined;
    if (before) rows.unshift(before);
    return rows.length === 0 ? null : traceOf(rows);
  }

  page(
    tub: string,
    points: readonly string[],
    from: number,
    to: number,
    limit: number,
    after: PagePlace = { t: from - 1, point: '' },
  ): Reading[] {
    const rows: Reading[] = [];
    for (const point of points) {
      const id = this.find(tub, point);
      if (id === null) continue;
      const start = Math.max(from, point > after.point ? after.t : after.t + 1);
      for (const [t, value] of this.sql.some.all(id, start, to, limit) as [number, number][]) {
        rows.push({ tub, point, t, value });
      }
    }
    rows.sort((a, b) => a.t - b.t || (a.point < b.point ? -1 : 1));
    return rows.slice(0, limit);
  }

  /** Whole quarters come from the roll-up; where a bucket's edge cuts one, its readings are read. */
  buckets(tub: string, point: string, from: number, to: number, bucketMs: number): Bucket[] {
    const id = this.find(tub, point);
    if (id === null) return [];
    if (bucketMs <= 2 * QUARTER) {
      return this.sql.rawBuckets.all({ id, origin: from, from, to, bucketMs }) as Bucket[];
    }
    const found = new Map<number, Bucket>();
    const join = (bucket: Bucket) => {
      const same = found.get(bucket.from);
      if (!same) {
        found.set(bucket.from, bucket);
        return;
      }
      same.count += bucket.count;
      same.sum += bucket.sum;
      same.min = Math.min(same.min, bucket.min);
      same.max = Math.max(same.max, bucket.max);
    };
    const whole = { id, origin: from, from, to, bucketMs, quarterMs: QUARTER };
    for (const bucket of this.sql.rolledBuckets.all(whole) as Bucket[]) join(bucket);
    for (const cut of cutQuarters(from, to, bucketMs)) {
      const part = { id, origin: from, bucketMs, ...cut };
      for (const bucket of this.sql.rawBuckets.all(part) as Bucket[]) join(bucket);
    }
    return [...found.values()].sort((a, b) => a.from - b.from);
  }
}

function traceOf(rows: readonly [number, number][]): Trace {
  const t = new Float64Array(rows.length);
  const v = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) {
    t[i] = rows[i]![0];
    v[i] = rows[i]![1];
  }
  return { t, v };
}

function grow(
  grown: Map<number, Map<number, Grown>>,
  id: number,
  t: number,
  value: number,
  replaced: boolean,
): void {
  const quarter = Math.floor(t / QUARTER) * QUARTER;
  const quarters = grown.get(id) ?? new Map<number, Grown>();
  grown.set(id, quarters);
  const sums = quarters.get(quarter);
  if (!sums) quarters.set(quarter, { n: 1, low: value, sum: value, high: value, replaced });
  else {
    sums.n++;
    sums.sum += value;
    sums.low = Math.min(sums.low, value);
    sums.high = Math.max(sums.high, value);
    sums.replaced ||= replaced;
  }
}

/** The parts of quarters that the edges of the span and of its buckets cut. */
function cutQuarters(from: number, to: number, bucketMs: number): { from: number; to: number }[] {
  const quarters = new Set<number>();
  const add = (edge: number) => {
    const quarter = Math.floor(edge / QUARTER) * QUARTER;
    if (quarter !== edge) quarters.add(quarter);
  };
  for (let edge = from; edge < to; edge += bucketMs) add(Math.ceil(edge));
  add(to);
  return [...quarters].map((quarter) => ({
    from: Math.max(quarter, from),
    to: Math.min(quarter + QUARTER, to),
  }));
}

function statements(db: Db) {
  return {
    insert: db.prepare(
      'INSERT INTO reading (series, t, value) VALUES (?, ?, ?) ON CONFLICT (series, t) DO NOTHING',
    ),
    raise: db.prepare('UPDATE reading SET value = ? WHERE series = ? AND t = ? AND value < ?'),
    rollUp: db.prepare(
      `INSERT INTO rollup (series, quarter, n, low, sum, high) VALUES (?, ?, ?, ?, ?, ?)
       ON CONFLICT (series, quarter) DO UPDATE SET n = n + excluded.n, low = min(low, excluded.low),
         sum = sum + excluded.sum, high = max(high, excluded.high)`,
    ),
    rollUpAgain: db.prepare(
      `INSERT OR REPLACE INTO rollup (series, quarter, n, low, sum, high)
       SELECT series, ?, count(*), min(value), sum(value), max(value) FROM reading
       WHERE series = ? AND t >= ? AND t < ? GROUP BY series`,
    ),
    find: db.prepare('SELECT id, tub, point FROM series WHERE tub = ? AND point = ?'),
    addSeries: db.prepare('INSERT OR IGNORE INTO series (tub, point) VALUES (?, ?)'),
    points: db.prepare('SELECT point FROM series WHERE tub = ? ORDER BY point').pluck(),
    remove: [
      db.prepare('DELETE FROM reading WHERE series = ?'),
      db.prepare('DELETE FROM rollup WHERE series = ?'),
      db.prepare('DELETE FROM series WHERE id = ?'),
    ],
    newest: db
      .prepare('SELECT t, value FROM reading WHERE series = ? ORDER BY t DESC LIMIT ?')
      .raw(),
    span: db.prepare(
      `SELECT min(low) AS "from", max(high) AS "to" FROM (
         SELECT (SELECT min(t) FROM reading WHERE series = s.id) AS low,
                (SELECT max(t) FROM reading WHERE series = s.id) AS high
         FROM series s WHERE s.tub = ?)`,
    ),
    between: db
      .prepare('SELECT t, value FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t')
      .raw(),
    before: db
      .prepare(
        'SELECT t, value FROM reading WHERE series = ? AND t < ? AND t >= ? ORDER BY t DESC LIMIT 1',
      )
      .raw(),
    some: db
      .prepare(
        'SELECT t, value FROM reading WHERE series = ? AND t >= ? AND t < ? ORDER BY t LIMIT ?',
      )
      .raw(),
    rawBuckets: db.prepare(
      `SELECT @origin + CAST((t - @origin) / @bucketMs AS INTEGER) * @bucketMs AS "from",
         count(*) AS count, min(value) AS min, sum(value) AS sum, max(value) AS max
       FROM reading WHERE series = @id AND t >= @from AND t < @to GROUP BY 1 ORDER BY 1`,
    ),
    rolledBuckets: db.prepare(
      `SELECT @origin + CAST((quarter - @origin) / @bucketMs AS INTEGER) * @bucketMs AS "from",
         sum(n) AS count, min(low) AS min, sum(sum) AS sum, max(high) AS max
       FROM rollup WHERE series = @id AND quarter >= @from AND quarter + @quarterMs <= @to
         AND CAST((quarter - @origin) / @bucketMs AS INTEGER)
           = CAST((quarter + @quarterMs - 1 - @origin) / @bucketMs AS INTEGER)
       GROUP BY 1 ORDER BY 1`,
    ),
  };
}
