import type { LogEntry, LogKind } from '../../model/owner-log.ts';
import type { Db } from './database.ts';

/** The owner's log of all tubs. */
export class LogTable {
  private readonly select;
  private readonly insert;
  private readonly delete;
  private readonly deleteAll;

  constructor(db: Db) {
    this.select = db.prepare(
      `SELECT id, kind, from_t AS "from", until_t AS until, data, note FROM log
       WHERE tub = ? ORDER BY from_t DESC, made_at DESC, id`,
    );
    this.insert = db.prepare(
      `INSERT INTO log (tub, id, kind, from_t, until_t, data, note, made_at)
       VALUES (@tub, @id, @kind, @from, @until, @data, @note, @madeAt)`,
    );
    this.delete = db.prepare('DELETE FROM log WHERE tub = ? AND id = ?');
    this.deleteAll = db.prepare('DELETE FROM log WHERE tub = ?');
  }

  entries(tub: string): LogEntry[] {
    const rows = this.select.all(tub) as (Omit<LogEntry, 'data'> & { data: string | null })[];
    return rows.map(({ data, kind, ...row }) => ({
      ...row,
      kind: kind as LogKind,
      data: data === null ? null : (JSON.parse(data) as LogEntry['data']),
    }));
  }

  add(tub: string, entry: LogEntry, madeAt: number): void {
    const data = entry.data === null ? null : JSON.stringify(entry.data);
    this.insert.run({ ...entry, tub, data, madeAt });
  }

  remove(tub: string, id: string): boolean {
    return this.delete.run(tub, id).changes === 1;
  }

  forgetTub(tub: string): void {
    this.deleteAll.run(tub);
  }
}
