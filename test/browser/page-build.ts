import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'vite';
import type { TestProject } from 'vitest/node';

const web = join(import.meta.dirname, '../../web');

declare module 'vitest' {
  export interface ProvidedContext {
    /** The folder of the page as it ships. */
    page: string;
  }
}

/** Builds the page as it ships, once for all tests that open it, into a folder of its own. */
export default async function setup(project: TestProject): Promise<() => Promise<void>> {
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
  project.provide('page', folder);
  return () => rm(folder, { recursive: true, force: true });
}
