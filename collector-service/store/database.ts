import { existsSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { SunsteepError } from '../errors.ts';
import { APPLICATION_ID, migrations } from './schema.ts';

export type Db = Database.Database;

export const STORE_FILE = 'sunsteep.db';
/** How long a writer waits for another process that writes [ms]. */
const BUSY_MS = 5000;

/**
 * Opens the store's file in a folder, making both where they are missing, and brings its schema up
 * to date. What a commit returned for is on disk: WAL with synchronous = FULL, since in WAL mode
 * NORMAL may lose the last transactions in a power cut.
 *
 * @throws SunsteepError where the file is damaged, no store of ours, of a newer program, or where
 *   the folder cannot be written
 */
export function openDatabase(folder: string): Db {
  return guarded(() => {
    mkdirSync(folder, { recursive: true });
    const file = join(folder, STORE_FILE);
    const isNew = !existsSync(file);
    const db = new Database(file, { timeout: BUSY_MS });
    try {
      if (!isNew) refuseForeign(db, file);
      db.pragma('journal_mode = WAL');
      db.pragma('synchronous = FULL');
      db.pragma('cache_size = -8000'); // KiB
      db.pragma('journal_size_limit = 67108864'); // the log shrinks again after a long import
      migrate(db, file);
    } catch (error) {
      db.close();
      throw error;
    }
    return db;
  });
}

function refuseForeign(db: Db, file: string): void {
  const id = db.pragma('application_id', { simple: true });
  const tables = db.prepare('SELECT count(*) FROM sqlite_master').pluck().get();
  if (id !== APPLICATION_ID && tables !== 0) {
    throw new SunsteepError(
      'SUNSTEEP_STORE_FOREIGN',
      `${file} is a database of another program: set SUNSTEEP_DATA to a folder of Sunsteep's own`,
    );
  }
  const version = schemaVersion(db);
  if (version > migrations.length) {
    throw new SunsteepError(
      'SUNSTEEP_STORE_NEWER',
      `${file} was written by a newer Sunsteep (schema ${version}, this one knows ${migrations.length}): start that version, or restore a backup`,
    );
  }
}

const schemaVersion = (db: Db): number => db.pragma('user_version', { simple: true }) as number;

/** Copies the file before the first step that changes what is in it, then takes each step at once. */
function migrate(db: Db, file: string): void {
  const start = schemaVersion(db);
  if (start > 0 && start < migrations.length) {
    const copy = `${file}.before-schema-${migrations.length}`;
    rmSync(copy, { force: true }); // of an attempt that did not get through
    db.prepare('VACUUM INTO ?').run(copy);
  }
  for (let version = start; version < migrations.length; version++) {
    db.transaction(() => {
      if (schemaVersion(db) !== version) return; // another process was faster
      db.exec(migrations[version]!);
      db.pragma(`application_id = ${APPLICATION_ID}`);
      db.pragma(`user_version = ${version + 1}`);
    }).immediate();
  }
}

/** Runs work on the database and says in one sentence what went wrong with it. */
export function guarded<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw explained(error);
  }
}

function explained(error: unknown): unknown {
  const code = (error as { code?: unknown } | null)?.code;
  if (error instanceof SunsteepError || typeof code !== 'string') return error;
  const cause = { cause: error };
  if (code.startsWith('SQLITE_FULL') || code === 'ENOSPC') {
    return new SunsteepError(
      'SUNSTEEP_STORE_DISK_FULL',
      'the disk is full: free some room, what arrives then is kept again',
      cause,
    );
  }
  if (/^SQLITE_(READONLY|CANTOPEN|PERM)/.test(code) || code === 'EACCES' || code === 'EROFS') {
    return new SunsteepError(
      'SUNSTEEP_STORE_READ_ONLY',
      'the data folder cannot be written: check its owner and that its disk is not read-only',
      cause,
    );
  }
  if (/^SQLITE_(CORRUPT|NOTADB)/.test(code)) {
    return new SunsteepError(
      'SUNSTEEP_STORE_DAMAGED',
      'the store is damaged: stop the service and restore a backup',
      cause,
    );
  }
  if (code.startsWith('SQLITE_BUSY') || code.startsWith('SQLITE_LOCKED')) {
    return new SunsteepError(
      'SUNSTEEP_STORE_BUSY',
      'another program holds the store: try again in a moment',
      cause,
    );
  }
  if (code.startsWith('SQLITE_IOERR')) {
    return new SunsteepError(
      'SUNSTEEP_STORE_DISK_FULL',
      'the disk did not take what was written: check that it has room and is sound',
      cause,
    );
  }
  return error;
}
