import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { STORE_FILE } from '../../collector-service/store/database.ts';

/**
 * What a power cut leaves of a store's files. Between two synchronisations a disk may have written any
 * part of what was given to it, in any order, sector by sector; what was synchronised stands. SQLite
 * synchronises its log at each commit; when the log is copied into the file, it synchronises the log, then
 * the file, and only then begins the log anew: it writes the log's header and synchronises it before any frame
 * (sqlite.org/atomiccommit.html, sqlite.org/wal.html, sqlite.org/src/info/ff5be73dee).
 */

const SECTOR = 512; // bytes

/** A store's file and its log at some moment. */
export interface Files {
  db: Buffer;
  log: Buffer;
}

/** Numbers 0 ≤ x < 1. */
export type Chance = () => number;

export function filesOf(folder: string): Files {
  const file = join(folder, STORE_FILE);
  const log = `${file}-wal`;
  return { db: readFileSync(file), log: existsSync(log) ? readFileSync(log) : Buffer.alloc(0) };
}

/** Puts the files into a folder as they are found after the power is back. */
export function lay({ db, log }: Files, folder: string): void {
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, STORE_FILE), db);
  writeFileSync(join(folder, `${STORE_FILE}-wal`), log);
}

/** Where the cut came, and what became of what was on its way to the disk. */
export type Cut = 'while the log was written' | 'while the log was copied into the file';

/** What a cut leaves between two moments that lie one commit apart. */
export function cutBetween(before: Files, after: Files, cut: Cut, chance: Chance): Files {
  return cut === 'while the log was written'
    ? { db: before.db, log: tornLog(before.log, after.log, chance) }
    : { db: torn(before.db, after.db, chance), log: after.log };
}

const HEADER = 32; // bytes

/** A log that is begun anew has its new header on disk before anything else of it is written. */
function tornLog(old: Buffer, now: Buffer, chance: Chance): Buffer {
  const isAnew = old.length > 0 && !old.subarray(0, HEADER).equals(now.subarray(0, HEADER));
  if (!isAnew) return torn(old, now, chance);
  const begun = Buffer.concat([now.subarray(0, HEADER), old.subarray(HEADER)]);
  return chance() < 0.3 ? torn(old, begun, chance) : torn(begun, now, chance);
}

/** Sector by sector the old, the new, or, where nothing of the old was, what no one wrote. */
function torn(old: Buffer, now: Buffer, chance: Chance): Buffer {
  const most = Math.max(old.length, now.length);
  const length = old.length + Math.floor(chance() * (most - old.length + 1));
  const [keeps, scrambles] = [chance(), chance() < 0.5];
  const left = Buffer.alloc(length);
  old.copy(left, 0, 0, length);
  for (let at = 0; at < length; at += SECTOR) {
    const end = Math.min(at + SECTOR, length);
    if (chance() < keeps) now.copy(left, at, at, end);
    else if (scrambles && at >= old.length) {
      for (let i = at; i < end; i++) left[i] = Math.floor(chance() * 256);
    }
  }
  return left;
}
