import { join } from 'node:path';
import { defineConfig } from 'vite';
import { shellList } from './shell-list.ts';

const main = join(import.meta.dirname, 'main.tsx');

interface Modules {
  getModuleInfo(id: string): { importers: readonly string[] } | null;
}

/** Whether the page imports a module before it shows anything, by however many others. */
function isAtOnce(id: string, modules: Modules, seen = new Set<string>()): boolean {
  if (id === main) return true;
  if (seen.has(id)) return false;
  seen.add(id);
  const importers = modules.getModuleInfo(id)?.importers ?? [];
  return importers.some((importer) => isAtOnce(importer, modules, seen));
}

/** The printed sheet is the service's own page, and asks for its style by this name. */
const sheet = 'sheet.css';

/** The phone page; the service serves what lands in dist/web. */
export default defineConfig({
  root: import.meta.dirname,
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  plugins: [shellList()],
  build: {
    outDir: '../dist/web',
    emptyOutDir: true,
    target: 'es2022',
    // The page's content security policy takes fonts and scripts from our own origin alone.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 250,
    rolldownOptions: {
      input: {
        index: join(import.meta.dirname, 'index.html'),
        sw: join(import.meta.dirname, 'sw.ts'),
        sheet: join(import.meta.dirname, 'style', sheet),
      },
      output: {
        // What the first view needs is one part: a slow network pays for each.
        codeSplitting: {
          groups: [
            { debugName: 'shell', name: (id, context) => (isAtOnce(id, context) ? 'shell' : null) },
          ],
        },
        // A worker has its place by its address, so that must stay the same.
        entryFileNames: ({ name }) => (name === 'sw' ? 'sw.js' : 'assets/[name]-[hash].js'),
        assetFileNames: ({ names }) =>
          names.includes(sheet) ? sheet : 'assets/[name]-[hash][extname]',
      },
    },
  },
});
