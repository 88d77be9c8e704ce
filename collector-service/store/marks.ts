import type { Db } from './database.ts';
import type { DirtyMark } from './store.ts';

/** Two changes of a point further apart than this get a mark each. [ms] */
const APART_MS = 6 * 3_600_000;
/** How many marks a point can have; from there on the newest one grows, however far. */
const MOST_MARKS = 50;

/**
 * What is to be worked out again. Every change counts its mark up, so that one that grew while the
 * ledger was being worked out from it outlives that work; so does one that another process grew.
 *
 * A mark that was handed out grows no more (but in another process, or past the most marks): what
 * changes during a long work gets a mark of its own. Otherwise a tub that goes on being heard would
 * keep the mark of a year's import alive, and the year be worked out again and again.
 */
export class Marks {
  private handedOut = 0;
  private readonly grow;
  private readonly growNewest;
  private readonly insert;
  private readonly remove;
  private readonly select;

  constructor(db: Db) {
    const grow =
      'UPDATE dirty SET from_t = min(from_t, @from), to_t = max(to_t, @to), touched = touched + 1';
    const ofPoint = 'FROM dirty WHERE tub = @tub AND point IS @point';
    this.grow = db.prepare(
      `${grow} WHERE id = (SELECT id ${ofPoint} AND id > @handedOut
         AND from_t <= @to + ${APART_MS} AND to_t >= @from - ${APART_MS} ORDER BY id DESC LIMIT 1)`,
    );
    this.growNewest = db.prepare(
      `${grow} WHERE id = (SELECT max(id) ${ofPoint} HAVING count(*) >= ${MOST_MARKS})`,
    );
    this.insert = db.prepare(
      'INSERT INTO dirty (tub, point, from_t, to_t) VALUES (@tub, @point, @from, @to)',
    );
    this.remove = db.prepare('DELETE FROM dirty WHERE id = ? AND touched = ?');
    this.select = db.prepare(
      'SELECT id, touched, tub, point, from_t AS "from", to_t AS "to" FROM dirty ORDER BY id',
    );
  }

  add(tub: string, point: string | null, from: number, to: number): void {
    const change = { tub, point, from, to };
    if (this.grow.run({ ...change, handedOut: this.handedOut }).changes === 1) return;
    if (this.growNewest.run(change).changes === 1) return;
    this.insert.run(change);
  }

  all(): DirtyMark[] {
    const marks = this.select.all() as DirtyMark[];
    this.handedOut = marks.at(-1)?.id ?? this.handedOut;
    return marks;
  }

  done(marks: readonly DirtyMark[]): void {
    for (const mark of marks) this.remove.run(mark.id, mark.touched);
  }
}
