import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect } from 'vitest';
import { STORE_FILE } from '../../collector-service/store/database.ts';

/** Looks into a store's file past the store. */
export function inside<T>(folder: string, look: (db: Database.Database) => T): T {
  const db = new Database(join(folder, STORE_FILE), { fileMustExist: true });
  try {
    return look(db);
  } finally {
    db.close();
  }
}

/** Every reading, as `tub point t` and its value, as they all are at one instant. */
export const rowsOf = (db: Database.Database): Map<string, number> =>
  db.transaction(() => rowsAtOnce(db))();

function rowsAtOnce(db: Database.Database): Map<string, number> {
  const rows = db
    .prepare(
      `SELECT s.tub || ' ' || s.point || ' ' || r.t, r.value
       FROM reading r JOIN series s ON s.id = r.series`,
    )
    .raw()
    .all() as [string, number][];
  const all = db.prepare('SELECT count(*) FROM reading').pluck().get();
  expect(all, 'every reading is there once and belongs to a point').toBe(rows.length);
  expect(new Set(rows.map(([key]) => key)).size).toBe(rows.length);
  return new Map(rows);
}

/** The file is sound, and every roll-up is what its readings add up to now. */
export function expectSound(db: Database.Database): void {
  expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
  const fresh = db
    .prepare(
      `SELECT series, (t - (t % 900000 + 900000) % 900000) AS quarter, count(*) AS n,
         min(value) AS low, sum(value) AS sum, max(value) AS high
       FROM reading GROUP BY 1, 2 ORDER BY 1, 2`,
    )
    .all() as { sum: number }[];
  const kept = db.prepare('SELECT * FROM rollup ORDER BY series, quarter').all();
  expect(kept).toEqual(fresh.map((row) => ({ ...row, sum: expect.closeTo(row.sum, 6) })));
  expect(kept.length).toBeGreaterThan(0);
}
