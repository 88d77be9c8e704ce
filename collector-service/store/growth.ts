import type { Db } from './database.ts';

const DAY = 86_400_000; // ms
const QUARTERS_A_DAY = 96;

/**
 * Room on disk that a row takes, its share of partly filled pages included [bytes]; measured over two months
 * of a full kit that tells every point once a minute.
 */
const BYTES = { reading: 22.4, rollup: 36.2, quarter: 138 };
/** What is kept of a tub's day, for figures and for rules [bytes]. */
const BYTES_A_DAY = 13_200;

/** By how much a store grows. */
export class Growth {
  private readonly lately;

  constructor(db: Db) {
    this.lately = db.prepare(
      `SELECT total(u.n) AS readings, count(*) AS rollups, count(DISTINCT s.tub) AS tubs
       FROM series s JOIN rollup u ON u.series = s.id AND u.quarter >= ? AND u.quarter < ?`,
    );
  }

  /** Bytes a day, should it go on as in the 24 hours before `t` [ms]. */
  bytesADay(t: number): number {
    const { readings, rollups, tubs } = this.lately.get(t - DAY, t) as Record<string, number>;
    const ofTubs = tubs! * (QUARTERS_A_DAY * BYTES.quarter + BYTES_A_DAY);
    return readings! * BYTES.reading + rollups! * BYTES.rollup + ofTubs;
  }
}
