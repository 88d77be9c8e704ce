import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** A folder for one test. */
export function temporaryFolder(): { folder: string; remove(): void } {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-store-'));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}
