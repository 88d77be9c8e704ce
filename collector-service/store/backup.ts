import {
  chmodSync,
  copyFileSync,
  existsSync,
  linkSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { QUARTER } from '../../model/readings.ts';
import { type ErrorCode, SunsteepError } from '../errors.ts';
import { PASSWORD_FILE } from '../ingest/broker-users.ts';
import { syncPath } from '../whole-file.ts';
import { guarded, STORE_FILE } from './database.ts';
import { hasOurSchema } from './own-schema.ts';
import { APPLICATION_ID, migrations } from './schema.ts';

/** Backups of the store, and how one takes its place. */

/** Under which note a backup has the password of the boards. */
const BOARDS_PASSWORD = 'password of the boards';
/** How long copying waits for another process that writes [ms]. */
const PATIENCE_MS = 10_000;

/**
 * Copies the store of a folder, as it is at one instant, into a file of its owner's alone. Another
 * process may write to it meanwhile, since what is read is a snapshot.
 *
 * @throws SunsteepError where there is no store, or it is damaged or not ours
 */
export function copyStore(folder: string, copy: string): void {
  const file = join(folder, STORE_FILE);
  const found = statSync(file, { throwIfNoEntry: false });
  if (!found?.isFile() || found.size === 0) {
    throw new SunsteepError(
      'SUNSTEEP_CALL_INVALID',
      `there is no store in ${folder}: set SUNSTEEP_DATA to the folder of the one to back up`,
    );
  }
  writeFileSync(copy, '', { mode: 0o600 });
  guarded(() => {
    const db = new Database(file, { timeout: PATIENCE_MS, fileMustExist: true });
    try {
      refuseOthers(db, file);
      db.prepare('VACUUM INTO ?').run(copy);
    } finally {
      db.close();
    }
    takePasswordAlong(folder, copy);
  });
}

/** Boards know a password that stands beside the store: without it, none would be let in on a new machine. */
function takePasswordAlong(folder: string, copy: string): void {
  const file = join(folder, PASSWORD_FILE);
  if (!existsSync(file)) return;
  const db = new Database(copy, { fileMustExist: true });
  try {
    db.prepare('INSERT OR REPLACE INTO note (key, value) VALUES (?, ?)').run(
      BOARDS_PASSWORD,
      readFileSync(file, 'utf8').trim(),
    );
  } finally {
    db.close();
  }
}

/**
 * Puts a backup in the place of a folder's store, which nobody else may have open. The one that it
 * replaces keeps another name beside it. A power cut leaves the one or the other in the store's place, whole.
 *
 * @param stamp  tells the replaced one's name
 * @returns the path of the replaced one; null where there was none
 * @throws SunsteepError where the file is no sound backup, or there is no room; the store is as it was
 */
export function putBackup(backup: string, folder: string, stamp: string): string | null {
  const file = join(folder, STORE_FILE);
  const draft = `${file}.restoring`;
  try {
    return guarded(() => {
      removeWith(draft); // of an attempt that did not get through
      takeCopy(backup, file, draft);
      const password = makeWhole(draft, backup);
      syncPath(draft);
      if (password !== null) keepPassword(folder, password);
      const replaced = existsSync(file) ? keepAside(file, freeName(file, stamp)) : null;
      // Only now, and nothing of the old one's log beside it, which SQLite would take for the new one's.
      renameSync(draft, file);
      syncPath(folder);
      return replaced;
    });
  } catch (error) {
    tidy(draft);
    throw error;
  }
}

function takeCopy(backup: string, file: string, draft: string): void {
  const found = statSync(backup, { throwIfNoEntry: false });
  if (!found) throw refused(backup, 'is not there: name the file of a backup');
  if (!found.isFile()) throw refused(backup, 'is a folder: name the file of a backup');
  if (found.size === 0) throw refused(backup, 'is empty: name the file of a backup');
  if (existsSync(file) && realpathSync(backup) === realpathSync(file)) {
    throw refused(backup, 'is the store itself: name a backup of it');
  }
  for (const beside of ['', '-wal']) {
    if (!existsSync(backup + beside)) continue;
    copyFileSync(backup + beside, draft + beside);
    chmodSync(draft + beside, 0o600);
  }
}

const refused = (file: string, why: string, code: ErrorCode = 'SUNSTEEP_CALL_INVALID') =>
  new SunsteepError(code, `${file} ${why}`);

/** A folder's own stays: boards that publish there know it. */
function keepPassword(folder: string, password: string): void {
  const file = join(folder, PASSWORD_FILE);
  if (existsSync(file)) return;
  writeFileSync(`${file}.part`, `${password}\n`, { mode: 0o600 });
  syncPath(`${file}.part`);
  renameSync(`${file}.part`, file);
}

/**
 * Looks a copy of a backup through, and folds its log in, so that one file holds all of it.
 *
 * @returns the boards' password, which is taken out; null where there is none
 */
function makeWhole(draft: string, backup: string): string | null {
  let db: Database.Database | null = null;
  try {
    db = new Database(draft, { fileMustExist: true });
    refuseOthers(db, backup);
    const version = db.pragma('user_version', { simple: true }) as number;
    if (version > migrations.length) {
      throw refused(
        backup,
        `was written by a newer Sunsteep (schema ${version}, this one knows ${migrations.length}): restore it with that version`,
        'SUNSTEEP_STORE_NEWER',
      );
    }
    db.pragma('trusted_schema = OFF');
    if (!hasOurSchema(db, version)) {
      throw refused(
        backup,
        'holds other tables than a store does: restore a backup that Sunsteep made',
        'SUNSTEEP_STORE_FOREIGN',
      );
    }
    db.pragma('journal_mode = DELETE');
    const isSound = db.pragma('integrity_check(1)', { simple: true }) === 'ok' && addsUp(db);
    if (!isSound) throw damaged(backup);
    const password = db
      .prepare('SELECT value FROM note WHERE key = ?')
      .pluck()
      .get(BOARDS_PASSWORD);
    db.prepare('DELETE FROM note WHERE key = ?').run(BOARDS_PASSWORD);
    return typeof password === 'string' ? password : null;
  } catch (error) {
    const { code } = error as { code?: string };
    throw /^SQLITE_(CORRUPT|NOTADB)/.test(code ?? '') ? damaged(backup, error) : error;
  } finally {
    db?.close();
  }
}

/**
 * Whether readings add up to their quarter hours' roll-ups: a changed bit within a value is nothing that the
 * structure of a file tells. Readings of forgotten tubs are being taken away, and are not looked at.
 */
function addsUp(db: Database.Database): boolean {
  const wrong = db.prepare(
    `SELECT 1 FROM rollup u WHERE series NOT IN (SELECT series FROM forgotten) AND NOT EXISTS (
       SELECT 1 FROM (
         SELECT count(*) AS n, min(value) AS low, sum(value) AS sum, max(value) AS high FROM reading
         WHERE series = u.series AND t >= u.quarter AND t < u.quarter + ${QUARTER}
       ) r
       WHERE r.n = u.n AND r.low = u.low AND r.high = u.high AND (abs(u.sum) > 1e300
         OR abs(r.sum - u.sum) <= 1e-6 * (1 + r.n * max(abs(r.low), abs(r.high))))
     ) LIMIT 1`,
  );
  const count = (of: string) =>
    db.prepare(`SELECT ${of} WHERE series NOT IN (SELECT series FROM forgotten)`).pluck().get();
  const [readings, summed] = [count('count(*) FROM reading'), count('total(n) FROM rollup')];
  return wrong.get() === undefined && readings === summed;
}

const damaged = (backup: string, cause?: unknown) =>
  new SunsteepError(
    'SUNSTEEP_STORE_DAMAGED',
    `${backup} is damaged, or no store at all: take another backup`,
    { cause },
  );

function refuseOthers(db: Database.Database, file: string): void {
  if (db.pragma('application_id', { simple: true }) === APPLICATION_ID) return;
  throw refused(file, 'is a database of another program', 'SUNSTEEP_STORE_FOREIGN');
}

function freeName(file: string, stamp: string): string {
  const name = `${file}.replaced-${stamp}`;
  for (let n = 1; ; n++) {
    const free = n === 1 ? name : `${name}-${n}`;
    if (!existsSync(free)) return free;
  }
}

/**
 * Gives the store one more name, under which it stays once the new one has taken its first. Its log is folded
 * into it before; where that cannot be, since it is damaged, its log goes with it as it was.
 */
function keepAside(file: string, name: string): string {
  const log = `${name}-wal`;
  // before anything opens the store, which may take a log away that it cannot read
  const hasLog = existsSync(`${file}-wal`);
  if (hasLog) copyFileSync(`${file}-wal`, log);
  try {
    const isWhole = foldLog(file);
    if (isWhole) rmSync(log, { force: true });
    else if (hasLog) syncPath(log);
    nameAlso(file, name);
  } catch (error) {
    rmSync(log, { force: true });
    throw error;
  }
  syncPath(dirname(name));
  for (const beside of ['-wal', '-shm', '-journal']) rmSync(file + beside, { force: true });
  return name;
}

/** false for a store that is damaged or not ours, which stays as it is. */
function foldLog(file: string): boolean {
  let db: Database.Database | null = null;
  try {
    db = new Database(file, { timeout: PATIENCE_MS, fileMustExist: true });
    refuseOthers(db, file);
    db.pragma('journal_mode = DELETE');
    return true;
  } catch (error) {
    const { code } = error as { code?: string };
    if (/^(SQLITE_(CORRUPT|NOTADB)|SUNSTEEP_STORE_FOREIGN)/.test(code ?? '')) return false;
    throw error;
  } finally {
    db?.close();
  }
}

function nameAlso(file: string, name: string): void {
  try {
    linkSync(file, name);
  } catch {
    // A disk that knows no second names, such as a FAT card.
    copyFileSync(file, `${name}.part`);
    syncPath(`${name}.part`);
    renameSync(`${name}.part`, name);
  }
}

/** What cannot be removed now is removed by the next attempt. */
function tidy(draft: string): void {
  try {
    removeWith(draft);
  } catch {}
}

function removeWith(file: string): void {
  for (const beside of ['', '-wal', '-shm', '-journal']) rmSync(file + beside, { force: true });
}
