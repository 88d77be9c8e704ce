import { QUARTER, quarterOf, type Reading, type Trace } from '../../model/readings.ts';
import { Buckets, boundedSum } from './buckets.ts';
import type { Db } from './database.ts';
import type { Bucket, PagePlace } from './store.ts';

/** Span of one point's readings that a batch changed. */
export interface Changed {
  tub: string;
  point: string;
  from: number;
  to: number;
}

interface SeriesChange extends Changed {
  id: number;
  quarters: Map<number, Grown>;
}

interface Grown {
  n: number;
  low: number;
  sum: number;
  high: number;
  /** A greater value took another's place: the quarter is summed from its readings again. */
  replaced: boolean;
}

type Row = [t: number, value: number];

/** How many readings of a forgotten tub are removed in one transaction. */
const SWEPT_AT_ONCE = 20_000;

/** The readings, a row each, and their quarter-hour roll-ups, kept in step with them. */
export class ReadingsTable {
  private readonly db: Db;
  private readonly sql;
  private readonly bucketsOf: Buckets;

  constructor(db: Db) {
    this.db = db;
    this.sql = statements(db);
    this.bucketsOf = new Buckets(db);
  }

  /** Inside a transaction: keeps readings and tells which spans changed. */
  keep(readings: readonly Reading[]): Changed[] {
    const changes = new Map<string, SeriesChange>();
    for (const { tub, point, t, value } of readings) {
      const key = `${tub}/${point}`;
      const change = changes.get(key) ?? this.noChange(tub, point);
      changes.set(key, change);
      const isNew = this.sql.insert.run(change.id, t, value).changes === 1;
      if (!isNew && this.sql.raise.run(value, change.id, t, value).changes === 0) continue;
      change.from = Math.min(change.from, t);
      change.to = Math.max(change.to, t);
      grow(change.quarters, quarterOf(t), value, !isNew);
    }
    for (const change of changes.values()) this.rollUp(change);
    return [...changes.values()].filter(({ quarters }) => quarters.size > 0);
  }

  private noChange(tub: string, point: string): SeriesChange {
    const id = this.find(tub, point) ?? Number(this.sql.addSeries.run(tub, point).lastInsertRowid);
    return { id, tub, point, from: Infinity, to: -Infinity, quarters: new Map() };
  }

  private rollUp({ id, quarters }: SeriesChange): void {
    for (const [quarter, { n, low, sum, high, replaced }] of quarters) {
      if (replaced) this.sql.rollUpAgain.run(quarter, limits, id, quarter, quarter + QUARTER);
      else this.sql.rollUp.run({ id, quarter, n, low, sum, high, ...limits });
    }
  }

  private find(tub: string, point: string): number | null {
    return (this.sql.find.get(tub, point) as number | undefined) ?? null;
  }

  /** Inside a transaction: nothing of the tub is found any more; `sweep` removes its readings. */
  forgetTub(tub: string): void {
    this.sql.forget.run(tub);
    this.sql.removeSeries.run(tub);
  }

  /** Inside a transaction: removes some readings of forgotten tubs; false once there are none. */
  sweep(): boolean {
    const id = this.sql.forgotten.get() as number | undefined;
    if (id === undefined) return false;
    const end = (this.sql.nth.get(id, SWEPT_AT_ONCE) as number | undefined) ?? Infinity;
    this.sql.sweepReadings.run(id, end);
    if (end === Infinity) {
      this.sql.sweepRollups.run(id);
      this.sql.swept.run(id);
    }
    return true;
  }

  points(tub: string): string[] {
    return this.sql.points.all(tub) as string[];
  }

  recent(tub: string, count: number): Map<string, Trace> {
    const traces = new Map<string, Trace>();
    for (const point of this.points(tub)) {
      const rows = this.sql.newest.all(this.find(tub, point), count) as Row[];
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
    const rows = this.sql.between.all(id, from, to) as Row[];
    const before =
      nearestMs > 0 ? (this.sql.before.get(id, from, from - nearestMs) as Row | undefined) : null;
    if (before) rows.unshift(before);
    return rows.length === 0 ? null : traceOf(rows);
  }

  /** The points' readings are merged by the database, so that a page costs what is on it. */
  page(
    tub: string,
    points: readonly string[],
    from: number,
    to: number,
    limit: number,
    after: PagePlace = { t: -Infinity, point: '' },
  ): Reading[] {
    const parts: (string | number)[][] = [];
    for (const point of new Set(points)) {
      const id = this.find(tub, point);
      const start = Math.max(from, point > after.point ? after.t : after.t + 1);
      if (id !== null) parts.push([tub, point, id, start, to]);
    }
    if (parts.length === 0) return [];
    const readings =
      'SELECT ? AS tub, ? AS point, t, value FROM reading WHERE series = ? AND t >= ? AND t < ?';
    return this.db
      .prepare(`${parts.map(() => readings).join(' UNION ALL ')} ORDER BY t, point LIMIT ?`)
      .all(...parts.flat(), limit) as Reading[];
  }

  /** See `Buckets.of`. */
  *buckets(
    tub: string,
    point: string,
    from: number,
    to: number,
    bucketMs: number,
  ): Generator<Bucket> {
    const id = this.find(tub, point);
    if (id !== null) yield* this.bucketsOf.of(id, from, to, bucketMs);
  }
}

function traceOf(rows: readonly Row[]): Trace {
  const t = new Float64Array(rows.length);
  const v = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) {
    t[i] = rows[i]![0];
    v[i] = rows[i]![1];
  }
  return { t, v };
}

function grow(
  quarters: Map<number, Grown>,
  quarter: number,
  value: number,
  replaced: boolean,
): void {
  const sums = quarters.get(quarter);
  if (!sums) quarters.set(quarter, { n: 1, low: value, sum: value, high: value, replaced });
  else {
    sums.n++;
    sums.sum = boundedSum(sums.sum + value);
    sums.low = Math.min(sums.low, value);
    sums.high = Math.max(sums.high, value);
    sums.replaced ||= replaced;
  }
}

/** `boundedSum` in SQL. */
const bounded = (sum: string) => `ifnull(max(@least, min(@most, ${sum})), 0)`;
const limits = { most: Number.MAX_VALUE, least: -Number.MAX_VALUE };

function statements(db: Db) {
  return {
    insert: db.prepare(
      'INSERT INTO reading (series, t, value) VALUES (?, ?, ?) ON CONFLICT (series, t) DO NOTHING',
    ),
    raise: db.prepare('UPDATE reading SET value = ? WHERE series = ? AND t = ? AND value < ?'),
    rollUp: db.prepare(
      `INSERT INTO rollup (series, quarter, n, low, sum, high)
       VALUES (@id, @quarter, @n, @low, @sum, @high)
       ON CONFLICT (series, quarter) DO UPDATE SET n = n + excluded.n, low = min(low, excluded.low),
         sum = ${bounded('sum + excluded.sum')}, high = max(high, excluded.high)`,
    ),
    rollUpAgain: db.prepare(
      `INSERT OR REPLACE INTO rollup (series, quarter, n, low, sum, high)
       SELECT series, ?, count(*), min(value), ${bounded('sum(value)')}, max(value) FROM reading
       WHERE series = ? AND t >= ? AND t < ? GROUP BY series`,
    ),
    find: db.prepare('SELECT id FROM series WHERE tub = ? AND point = ?').pluck(),
    addSeries: db.prepare('INSERT INTO series (tub, point) VALUES (?, ?)'),
    points: db.prepare('SELECT point FROM series WHERE tub = ? ORDER BY point').pluck(),
    forget: db.prepare('INSERT INTO forgotten (series) SELECT id FROM series WHERE tub = ?'),
    removeSeries: db.prepare('DELETE FROM series WHERE tub = ?'),
    forgotten: db.prepare('SELECT series FROM forgotten LIMIT 1').pluck(),
    nth: db.prepare('SELECT t FROM reading WHERE series = ? ORDER BY t LIMIT 1 OFFSET ?').pluck(),
    sweepReadings: db.prepare('DELETE FROM reading WHERE series = ? AND t < ?'),
    sweepRollups: db.prepare('DELETE FROM rollup WHERE series = ?'),
    swept: db.prepare('DELETE FROM forgotten WHERE series = ?'),
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
  };
}
