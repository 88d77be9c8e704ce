import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'vite';

const web = join(import.meta.dirname, '../../web');

/** Builds the page as it ships, into a folder of its own. */
export async function buildPage(): Promise<{ folder: string; remove(): Promise<void> }> {
  const folder = await mkdtemp(join(tmpdir(), 'sunsteep-page-'));
  await build({
    root: web,
    configFile: join(web, 'vite.config.ts'),
    logLevel: 'warn',
    mode: 'production',
    build: { outDir: folder, emptyOutDir: true },
  });
  return { folder, remove: () => rm(folder, { recursive: true, force: true }) };
}
