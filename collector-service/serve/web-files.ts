import { existsSync } from 'node:fs';
import { join, sep } from 'node:path';
import files from '@fastify/static';
import type { FastifyRequest } from 'fastify';
import type { App } from './parts.ts';
import { notFound } from './problems.ts';

const ASSETS = `${sep}assets${sep}`; // the build puts a hash of the content into these names

/**
 * Serves the built pages. Each file that is there at the start is a route of its own, so that nothing
 * of an address ever becomes a path on the disk. Any other page's address, such as /day/2026-03-01,
 * gives the same page, which knows its addresses itself.
 */
export async function serveWebFiles(app: App, folder: string): Promise<void> {
  const hasPage = existsSync(join(folder, 'index.html'));

  await app.register(files, {
    root: folder,
    wildcard: false,
    cacheControl: false,
    dotfiles: 'ignore',
    setHeaders: (response, path) => {
      const named = path.includes(ASSETS);
      response.setHeader(
        'cache-control',
        named ? 'public, max-age=31536000, immutable' : 'no-cache',
      );
    },
  });

  app.setNotFoundHandler((request, reply) => {
    if (hasPage && asksForPage(request)) return reply.sendFile('index.html');
    throw notFound('such address');
  });
}

/** A page's address has neither tricks to climb out of a folder nor the ending of a file. */
function asksForPage({ method, url, headers }: FastifyRequest): boolean {
  const path = decodeURIComponent(url.split('?', 1)[0]!);
  return (
    (method === 'GET' || method === 'HEAD') &&
    /\btext\/html\b/.test(headers.accept ?? '') &&
    !/(^|\/)\.|\\|\0|\/\//.test(path)
  );
}
