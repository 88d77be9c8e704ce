import { closeSync, fsyncSync, openSync } from 'node:fs';
import { open, rename, rm } from 'node:fs/promises';
import { dirname } from 'node:path';
import { SunsteepError } from './errors.ts';

/**
 * Writes a file that is there wholly or not at all: under another name beside it first, on disk, then
 * renamed. What stood there before stays until then.
 *
 * @throws SunsteepError SUNSTEEP_FAILED in a sentence where that cannot be
 */
export async function writeWhole(
  path: string,
  write: (draft: string) => Promise<void>,
): Promise<void> {
  const draft = `${path}.${process.pid}.part`;
  try {
    await write(draft);
    syncPath(draft);
    await rename(draft, path);
    syncPath(dirname(path));
  } catch (cause) {
    await rm(draft, { force: true }).catch(() => {});
    if (cause instanceof SunsteepError) throw cause;
    throw notWritten(path, cause);
  }
}

/** Pieces into a new file that its owner alone may read. */
export async function writePieces(path: string, pieces: AsyncIterable<Uint8Array>): Promise<void> {
  const file = await open(path, 'w', 0o600);
  try {
    for await (const piece of pieces) await file.writeFile(piece);
  } finally {
    await file.close();
  }
}

/** Whatever was done to a file or a folder is on disk after it; where a system knows no such thing, not. */
export function syncPath(path: string): void {
  const handle = openSync(path, 'r');
  try {
    fsyncSync(handle);
  } catch (error) {
    if (!['EINVAL', 'ENOTSUP', 'EPERM'].includes((error as NodeJS.ErrnoException).code ?? '')) {
      throw error;
    }
  } finally {
    closeSync(handle);
  }
}

function notWritten(path: string, cause: unknown): SunsteepError {
  const code = String((cause as { code?: unknown } | null)?.code ?? '');
  if (/ENOSPC|EDQUOT|SQLITE_FULL|SQLITE_IOERR/.test(code)) {
    return new SunsteepError(
      'SUNSTEEP_STORE_DISK_FULL',
      `${path} was not written: there is no room for it; free some, or name another place`,
      { cause },
    );
  }
  if (!/^(E[A-Z]+|SQLITE_(CANTOPEN|READONLY|PERM)\w*)$/.test(code)) throw cause;
  const why = code === 'EISDIR' || code === 'ENOTEMPTY' ? 'a folder has that name' : code;
  return new SunsteepError(
    'SUNSTEEP_CALL_INVALID',
    `${path} cannot be written (${why}): name a file in a folder that may be written`,
    { cause },
  );
}
