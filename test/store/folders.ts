import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

interface Folder {
  folder: string;
  remove(): void;
}

/** A folder for one test. */
export const temporaryFolder = (): Folder => folderIn(tmpdir());

/** One in memory where there is such a place: for what asks for thousands of commits, and not of a disk. */
export const quickFolder = (): Folder => folderIn(existsSync(MEMORY) ? MEMORY : tmpdir());

const MEMORY = '/dev/shm';

function folderIn(place: string): Folder {
  const folder = mkdtempSync(join(place, 'sunsteep-store-'));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}
