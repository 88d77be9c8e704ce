import type { Db } from './database.ts';
import type { DirtyMark } from './store.ts';

/** Two changes of a point further apart than this get a mark each. [ms] */
const APART_MS = 6 * 3_600_000;

interface OpenMark {
  id: number;
  from: number;
  to: number;
}

/**
 * What is to be worked out again. Every change counts its mark up, so that one that grew while the
 * ledger was being worked out from it outlives that work; so does one that another process grew.
 */
export class Marks {
  private readonly open = new Map<string, OpenMark>();
  private readonly grow;
  private readonly insert;
  private readonly remove;
  private readonly select;

  constructor(db: Db) {
    this.grow = db.prepare(
      'UPDATE dirty SET from_t = min(from_t, ?), to_t = max(to_t, ?), touched = touched + 1 WHERE id = ?',
    );
    this.insert = db.prepare('INSERT INTO dirty (tub, point, from_t, to_t) VALUES (?, ?, ?, ?)');
    this.remove = db.prepare('DELETE FROM dirty WHERE id = ? AND touched = ?');
    this.select = db.prepare(
      'SELECT id, touched, tub, point, from_t AS "from", to_t AS "to" FROM dirty ORDER BY id',
    );
  }

  add(tub: string, point: string | null, from: number, to: number): void {
    const key = `${tub}/${point}`;
    const mark = this.open.get(key);
    if (mark && from >= mark.from - APART_MS && to <= mark.to + APART_MS) {
      if (this.grow.run(from, to, mark.id).changes === 1) {
        mark.from = Math.min(mark.from, from);
        mark.to = Math.max(mark.to, to);
        return;
      }
    }
    const id = Number(this.insert.run(tub, point, from, to).lastInsertRowid);
    this.open.set(key, { id, from, to });
  }

  all(): DirtyMark[] {
    return this.select.all() as DirtyMark[];
  }

  done(marks: readonly DirtyMark[]): void {
    for (const mark of marks) this.remove.run(mark.id, mark.touched);
  }

  /** After a transaction was undone, what was counted in it is not there. */
  forget(): void {
    this.open.clear();
  }
}
