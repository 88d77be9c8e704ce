import {
  chmodSync,
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { type ErrorCode, SunsteepError } from '../errors.ts';
import { APPLICATION_ID, migrations } from './schema.ts';

export type Db = Database.Database;

export const STORE_FILE = 'sunsteep.db';
/** How long opening waits for another process that opens or writes [ms]. */
const OPENING_MS = 5000;
/** How long anything later waits in place, which holds up all else in this process [ms]. */
const BUSY_MS = 5;

/**
 * Opens the store's file in a folder, making both where they are missing, and brings its schema up
 * to date. What a commit returned for is on disk: WAL with synchronous = FULL, since in WAL mode
 * NORMAL may lose the last transactions in a power cut.
 *
 * @throws SunsteepError where the file is damaged, no store of ours, of a newer program, or where
 *   the folder cannot be written; the file is then as it was
 */
export function openDatabase(folder: string): Db {
  return guarded(() => {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const file = join(folder, STORE_FILE);
    const found = statSync(file, { throwIfNoEntry: false });
    if (found && (found.size > 0 || !found.isFile())) refuseForeign(file, found.isFile());
    const db = new Database(file, { timeout: OPENING_MS });
    try {
      if (!found) keepPrivate(file);
      // First of all, so that another process that opens it meanwhile sees whose it is.
      if (!found?.size) db.pragma(`application_id = ${APPLICATION_ID}`);
      refuseNewer(db, file);
      db.pragma('journal_mode = WAL');
      db.pragma('synchronous = FULL');
      db.pragma('cache_size = -8000'); // KiB
      db.pragma('journal_size_limit = 67108864'); // the log shrinks again after a long import
      migrate(db, file);
      db.pragma(`busy_timeout = ${BUSY_MS}`);
    } catch (error) {
      db.close();
      throw error;
    }
    return db;
  });
}

/** The set-up holds passwords: others on the same machine have no business in the file. */
function keepPrivate(file: string): void {
  try {
    chmodSync(file, 0o600);
  } catch {
    // A disk that knows no owners, such as a FAT card, has nothing to set.
  }
}

/** Looks at the file through a handle that cannot write: what is not ours stays as it is. */
function refuseForeign(file: string, isFile: boolean): void {
  if (isFile) {
    const db = new Database(file, { readonly: true, timeout: OPENING_MS });
    try {
      if (db.pragma('application_id', { simple: true }) === APPLICATION_ID) return;
    } finally {
      db.close();
    }
  }
  const what = isFile ? 'a database of another program' : 'no file';
  throw new SunsteepError(
    'SUNSTEEP_STORE_FOREIGN',
    `${file} is ${what}: set SUNSTEEP_DATA to a folder of Sunsteep's own`,
  );
}

function refuseNewer(db: Db, file: string): void {
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
  if (start > 0 && start < migrations.length) copyBefore(db, file, start);
  for (let version = start; version < migrations.length; version++) {
    db.transaction(() => {
      if (schemaVersion(db) !== version) return; // another process was faster
      db.exec(migrations[version]!);
      db.pragma(`user_version = ${version + 1}`);
    }).immediate();
  }
}

/** The copy gets its name once it is whole, on disk, and certainly from before the first step. */
function copyBefore(db: Db, file: string, start: number): void {
  const copy = `${file}.before-schema-${migrations.length}`;
  const draft = `${copy}.${process.pid}`;
  rmSync(draft, { force: true }); // of an attempt that did not get through
  db.prepare('VACUUM INTO ?').run(draft);
  keepPrivate(draft);
  sync(draft);
  if (schemaVersion(db) === start) renameSync(draft, copy);
  else rmSync(draft); // another process was faster, and made the copy
}

function sync(file: string): void {
  const handle = openSync(file, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
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

const troubles: readonly { codes: RegExp; means: ErrorCode; says: string }[] = [
  {
    codes: /^(SQLITE_FULL|ENOSPC|EDQUOT)/,
    means: 'SUNSTEEP_STORE_DISK_FULL',
    says: 'the disk is full: free some room, what arrives then is kept again',
  },
  {
    codes:
      /^(SQLITE_(READONLY|CANTOPEN|PERM)|EACCES|EPERM|EROFS|ENOENT|ENOTDIR|EEXIST|ELOOP|ENAMETOOLONG)/,
    means: 'SUNSTEEP_STORE_READ_ONLY',
    says: 'the data folder cannot be written: check that SUNSTEEP_DATA names a folder, its owner, and that its disk is not read-only',
  },
  {
    codes: /^SQLITE_(CORRUPT|NOTADB)/,
    means: 'SUNSTEEP_STORE_DAMAGED',
    says: 'the store is damaged: stop the service and restore a backup',
  },
  {
    codes: /^SQLITE_(BUSY|LOCKED|PROTOCOL)/,
    means: 'SUNSTEEP_STORE_BUSY',
    says: 'another program holds the store: try again in a moment',
  },
  {
    codes: /^SQLITE_IOERR/,
    means: 'SUNSTEEP_STORE_DISK_FULL',
    says: 'the disk did not take what was written: check that it has room and is sound',
  },
];

function explained(error: unknown): unknown {
  const code = (error as { code?: unknown } | null)?.code;
  if (error instanceof SunsteepError || typeof code !== 'string') return error;
  const trouble = troubles.find(({ codes }) => codes.test(code));
  return trouble ? new SunsteepError(trouble.means, trouble.says, { cause: error }) : error;
}
