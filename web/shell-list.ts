import { createHash } from 'node:crypto';
import type { Plugin } from 'vite';

/** Files beside those that the build makes, which the page needs without the network. */
const beside = ['/', '/icon.svg'];

/** Tells the worker every file of this build, and their names' hash: the names hold their contents'. */
export function shellList(): Plugin {
  return {
    name: 'shell-list',
    enforce: 'post',
    generateBundle(_, bundle) {
      const worker = bundle['sw.js'];
      if (worker?.type !== 'chunk') return;
      const made = Object.keys(bundle).filter((name) => name.startsWith('assets/'));
      const files = [...beside, ...made.sort().map((name) => `/${name}`)];
      const page = bundle['index.html'];
      const text = page?.type === 'asset' ? String(page.source) : '';
      const version = createHash('sha256').update(files.join()).update(text).digest('hex');
      const list = JSON.stringify({ version: version.slice(0, 16), files });
      const code = worker.code.replaceAll(/\bSHELL\b/g, 'shellList');
      worker.code = `const shellList=${list};${code}`;
    },
  };
}
