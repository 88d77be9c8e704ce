import { z } from 'zod';
import { nowSchema, tubsSchema } from '../../model/shapes.ts';
import { SunsteepError } from '../errors.ts';
import { covers } from './access.ts';
import type { App, Parts } from './parts.ts';
import { notFound } from './problems.ts';

export const tubParams = z.object({ tub: z.string() });

export function tubRoutes(api: App, { watching, clock, demo, forgetTub }: Parts): void {
  api.get(
    '/tubs',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'The tubs that were heard or set up',
        querystring: z.object({
          now: z.enum(['true', 'false']).optional().describe('also what is so with the only one'),
        }),
        response: { 200: tubsSchema },
      },
    },
    async ({ access, query }) => {
      const items = (await watching.tubs()).filter(({ id }) => covers(access, id));
      const list = { items, next: null, demo };
      if (query.now !== 'true') return list;
      return { ...list, now: items.length === 1 ? await watching.now(items[0]!.id) : null };
    },
  );

  api.get(
    '/tubs/:tub/now',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'What is so just now',
        params: tubParams,
        response: { 200: nowSchema },
      },
    },
    async ({ params: { tub } }) => {
      const now = await watching.now(tub);
      if (!now) throw noTub(tub);
      return now;
    },
  );

  api.delete(
    '/tubs/:tub',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'Forgets a tub with all its readings; asked twice, the second time with ?confirm',
        params: tubParams,
        querystring: z.object({ confirm: z.string().optional() }),
        response: { 204: z.undefined().describe('forgotten') },
      },
    },
    async ({ params: { tub }, query: { confirm } }, reply) => {
      await mustKnow(watching, tub);
      if (confirm !== tub) throw notConfirmed(tub);
      const { setup, etag } = watching.setup();
      if (setup.tubs.some(({ id }) => id === tub)) {
        const tubs = setup.tubs.filter(({ id }) => id !== tub);
        await watching.putSetup({ ...setup, tubs }, clock.now(), etag);
      }
      await forgetTub(tub);
      return reply.code(204).send();
    },
  );
}

/** @throws SunsteepError SUNSTEEP_NOT_FOUND for a tub that was neither heard nor set up */
export async function mustKnow(watching: Parts['watching'], tub: string): Promise<void> {
  const tubs = await watching.tubs();
  if (!tubs.some(({ id }) => id === tub)) throw noTub(tub);
}

export const noTub = (tub: string): SunsteepError => notFound(`tub ${JSON.stringify(tub)}`);

const notConfirmed = (tub: string): SunsteepError =>
  new SunsteepError(
    'SUNSTEEP_NOT_CONFIRMED',
    `This takes away every reading of ${JSON.stringify(tub)} for good. ` +
      `To do it, ask again with ?confirm=${encodeURIComponent(tub)}.`,
  );
