import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'vite';

const web = join(import.meta.dirname, '../../web');

/** Builds the page as it ships, into a folder of its own. */
export async function buildPage(): Promise<{ folder: string; remove(): Promise<void> }> {
  const folder = await mkdtemp(join(tmpdir(), 'sunsteep-page-'));
  // A test runner's own environment would have libraries built in their development form.
  const environment = process.env.NODE_ENV;
  process.env.NODE_ENV = 'production';
  await build({
    root: web,
    configFile: join(web, 'vite.config.ts'),
    logLevel: 'warn',
    mode: 'production',
    build: { outDir: folder, emptyOutDir: true },
  });
  process.env.NODE_ENV = environment;
  return { folder, remove: () => rm(folder, { recursive: true, force: true }) };
}
