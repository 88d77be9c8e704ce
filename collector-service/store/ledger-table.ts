import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import type { Db } from './database.ts';

/** The ledger's columns bear the names of a Quarter's fields, but for its start. */
const ledgerColumns = [
  'gainKwh',
  'lostKwh',
  'measuredKwh',
  'basis',
  'coveredMs',
  'flowUncertaintyKwh',
  'pairUncertaintyKwh',
  'lossUncertaintyKwh',
  'litres',
  'driveKwhMinPerL',
  'driveMs',
  'standingKwhPerL',
  'collectorC',
  'airC',
  'sunKwhPerM2',
  'backupKwh',
  'coverOpenMs',
  'filterOnMs',
  'pumpOnMs',
  'pumpKnownMs',
  'pumpKwh',
  'tubC',
  'tubLowC',
  'tubHighC',
] as const satisfies readonly Exclude<keyof Quarter, 'from'>[];

/**
 * What was worked out: a row a quarter, and the figures of whole days. Rows are written for tubs
 * that were heard alone, so that work that ends late brings nothing of a forgotten tub back.
 */
export class LedgerTable {
  private readonly sql;

  constructor(db: Db) {
    this.sql = {
      clear: db.prepare('DELETE FROM ledger WHERE tub = ? AND quarter >= ? AND quarter < ?'),
      add: db.prepare(
        `INSERT OR REPLACE INTO ledger (tub, quarter, ${ledgerColumns.join(', ')})
         SELECT name, @from, ${ledgerColumns.map((column) => `@${column}`).join(', ')}
         FROM tub WHERE name = @tub`,
      ),
      rows: db.prepare(
        `SELECT quarter AS "from", ${ledgerColumns.join(', ')} FROM ledger
         WHERE tub = ? AND quarter >= ? AND quarter < ? ORDER BY quarter`,
      ),
      days: db.prepare('SELECT figures FROM day WHERE tub = ? ORDER BY date').pluck(),
      putDay: db.prepare(
        `INSERT OR REPLACE INTO day (tub, date, figures)
         SELECT name, @date, @figures FROM tub WHERE name = @tub`,
      ),
      clearDays: db.prepare('DELETE FROM day WHERE tub = ?'),
    };
  }

  /** Inside a transaction: rows in place of all within the span. */
  put(tub: string, rows: readonly Quarter[], span: { from: number; to: number }): void {
    this.sql.clear.run(tub, span.from, span.to);
    for (const row of rows) this.sql.add.run({ tub, ...row });
  }

  rows(tub: string, from: number, to: number): Quarter[] {
    return this.sql.rows.all(tub, from, to) as Quarter[];
  }

  putDays(tub: string, days: readonly DayFigures[]): void {
    for (const day of days) {
      this.sql.putDay.run({ tub, date: day.date, figures: JSON.stringify(day) });
    }
  }

  days(tub: string): DayFigures[] {
    const rows = this.sql.days.all(tub) as string[];
    return rows.map((figures) => JSON.parse(figures) as DayFigures);
  }

  clearDays(tub: string): void {
    this.sql.clearDays.run(tub);
  }

  forgetTub(tub: string): void {
    this.sql.clear.run(tub, -Infinity, Infinity);
    this.clearDays(tub);
  }
}
