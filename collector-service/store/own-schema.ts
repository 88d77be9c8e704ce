import Database from 'better-sqlite3';
import type { Db } from './database.ts';
import { migrations } from './schema.ts';

/** Tables that SQLite makes by itself, for counting and for planning. */
const itsOwn = /^sqlite_(sequence|stat[14])$/;

/** Every table and index that a database holds, as the words that made it. */
function partsOf(db: Db): Set<string> {
  const all = db.prepare('SELECT type, name, tbl_name, sql FROM sqlite_schema').raw().all();
  const ours = (all as string[][]).filter(
    ([type, name]) => type !== 'table' || !itsOwn.test(name!),
  );
  return new Set(ours.map((part) => JSON.stringify(part)));
}

/**
 * Whether a database has just the tables that the steps up to its version make. A view in a table's
 * place, or a trigger, would be somebody else's program, which runs as soon as we ask or write.
 */
export function hasOurSchema(db: Db, version: number): boolean {
  const model = new Database(':memory:');
  try {
    for (const step of migrations.slice(0, version)) model.exec(step);
    const [expected, found] = [partsOf(model), partsOf(db)];
    return expected.size === found.size && [...expected].every((part) => found.has(part));
  } finally {
    model.close();
  }
}
