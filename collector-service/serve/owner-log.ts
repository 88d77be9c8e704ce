import { z } from 'zod';
import { logEntrySchema, logEntryShape, newLogEntrySchema } from '../../model/owner-log.ts';
import type { App, Parts } from './parts.ts';
import { notFound } from './problems.ts';
import { mustKnow, tubParams } from './tubs.ts';

export function ownerLogRoutes(api: App, { watching }: Parts): void {
  api.get(
    '/tubs/:tub/log',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'The owner’s log of a tub, the newest of what it tells first',
        params: tubParams,
        response: { 200: z.object({ items: z.array(logEntrySchema), next: z.null() }) },
      },
    },
    async ({ params: { tub } }) => {
      await mustKnow(watching, tub);
      const entries = await watching.log(tub);
      return { items: entries.map(logEntryShape), next: null };
    },
  );

  api.post(
    '/tubs/:tub/log',
    {
      config: { needs: 'full' },
      schema: {
        summary:
          'Adds an entry to the owner’s log; what it changes of the past is worked out again',
        params: tubParams,
        body: newLogEntrySchema,
        response: { 201: logEntrySchema },
      },
    },
    async ({ params: { tub }, body }, reply) => {
      await mustKnow(watching, tub);
      return reply.code(201).send(logEntryShape(await watching.addLog(tub, body)));
    },
  );

  api.delete(
    '/tubs/:tub/log/:id',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'Takes an entry out of the owner’s log, and with it what it changed',
        params: tubParams.extend({ id: z.string() }),
        response: { 204: z.undefined().describe('removed') },
      },
    },
    async ({ params: { tub, id } }, reply) => {
      if (!(await watching.removeLog(tub, id))) throw notFound('such entry in the log of this tub');
      return reply.code(204).send();
    },
  );
}
