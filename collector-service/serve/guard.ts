import { type Access, mustCover, mustReach } from './access.ts';
import type { Door } from './door.ts';
import type { App } from './parts.ts';
import { notFound } from './problems.ts';

/**
 * Shuts every route of this part of the app, unknown ones too, before anything of a body is read:
 * first who it is (401), then what they may do here (403), then whether there is such a thing (404).
 */
export function guard(api: App, door: Door): void {
  api.decorateRequest('access', null as unknown as Access);

  api.addHook('onRequest', async (request, reply) => {
    reply.header('cache-control', 'no-store'); // a household's figures stay out of every cache
    const { needs = request.is404 ? 'viewer' : 'full-for-all' } = request.routeOptions.config;
    if (needs === 'nothing') return;
    const acts = !['GET', 'HEAD'].includes(request.method);
    request.access = await door.admit(request.headers, acts);
    mustReach(request.access, needs);
    const { tub } = request.params as { tub?: string };
    if (tub !== undefined) mustCover(request.access, tub);
  });

  api.setNotFoundHandler(() => {
    throw notFound('such address under /api');
  });
}
