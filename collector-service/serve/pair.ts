import { z } from 'zod';
import { mustComeFromOurPage } from './origin.ts';
import { cookieHeader, redeem, speaksHttps } from './pairing.ts';
import type { App, Parts } from './parts.ts';
import { iso } from './spans.ts';
import { Tries } from './tries.ts';

const pairedSchema = z.object({
  id: z.string(),
  name: z.string(),
  right: z.enum(['full', 'viewer']),
  tubs: z.array(z.string()).nullable(),
  until: z.iso.datetime().nullable(),
});

export function pairRoutes(api: App, { store, clock, settings }: Parts): void {
  const tries = new Tries(clock);

  api.post(
    '/pair',
    {
      config: { needs: 'nothing' },
      // before the body, so that a flood of tries costs nothing
      onRequest: async ({ ip, headers }) => {
        tries.count(ip);
        if (headers.origin !== undefined) mustComeFromOurPage(headers, settings.url);
      },
      schema: {
        summary: 'Takes a link’s code for the cookie of a paired phone; ten tries a minute',
        security: [],
        body: z.object({ code: z.string().max(200) }),
        response: { 200: pairedSchema },
      },
    },
    async ({ body, headers, protocol }, reply) => {
      const { phone, cookie } = await redeem(store, clock, body.code, headers['user-agent']);
      const secure = speaksHttps(protocol === 'https', headers, settings.url);
      reply.header('set-cookie', cookieHeader(cookie, phone, clock.now(), secure));
      const { id, name, right, tubs, until } = phone;
      return { id, name, right, tubs, until: until === null ? null : iso(until) };
    },
  );
}
