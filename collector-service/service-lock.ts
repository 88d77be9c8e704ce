import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { SunsteepError } from './errors.ts';

const LOCK_FILE = 'service.lock';
/** A command that looks whether a service runs holds the lock for a moment. [ms] */
const LOOKING_MS = 1000;

/**
 * Takes the right to be the one service on a data folder. The lock is the operating system's, held
 * through an open transaction, so a service that was killed leaves none behind.
 *
 * @returns gives it back; null where another process holds it
 */
export const takeServiceLock = (folder: string): (() => void) | null => lock(folder, LOOKING_MS);

function lock(folder: string, patienceMs: number): (() => void) | null {
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const db = new Database(join(folder, LOCK_FILE), { timeout: patienceMs });
  try {
    db.pragma('journal_mode = DELETE');
    db.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    db.close();
    if ((error as { code?: string }).code === 'SQLITE_BUSY') return null;
    throw error;
  }
  return () => db.close();
}

/** Whether a service runs on a data folder just now. */
export function serviceRuns(folder: string): boolean {
  const release = lock(folder, 0);
  release?.();
  return release === null;
}

export const lockTaken = (folder: string): SunsteepError =>
  new SunsteepError(
    'SUNSTEEP_STORE_BUSY',
    `another Sunsteep runs on ${folder} already: stop it, or set SUNSTEEP_DATA to another folder`,
  );
