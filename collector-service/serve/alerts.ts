import { z } from 'zod';
import { alertSchema } from '../../model/shapes.ts';
import { refuseFaults } from './checks.ts';
import type { App, Parts } from './parts.ts';
import { notFound } from './problems.ts';
import { instant } from './spans.ts';
import { noTub, tubParams } from './tubs.ts';

const params = tubParams.extend({ id: z.string().max(200) });
const answer = { 200: alertSchema };
/** Longer than this nothing is kept quiet: a fault that nobody hears of for years is not watched. */
const LONGEST_QUIET_MS = 366 * 86_400_000;
/** A phone whose clock is behind may still end a quiet with what it takes for the present. */
const CLOCKS_APART_MS = 86_400_000;

export function alertRoutes(api: App, { watching, clock }: Parts): void {
  api.get(
    '/tubs/:tub/alerts',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Alerts, the newest raised first; with open=true those alone that stand',
        params: tubParams,
        querystring: z.object({ open: z.enum(['true', 'false']).optional() }),
        response: { 200: z.object({ items: z.array(alertSchema), next: z.null() }) },
      },
    },
    async ({ params: { tub }, query: { open } }) => {
      const items = await watching.alerts(tub, open === 'true');
      if (!items) throw noTub(tub);
      return { items, next: null };
    },
  );

  api.post(
    '/tubs/:tub/alerts/:id/acknowledge',
    {
      config: { needs: 'full' },
      schema: { summary: 'Says that somebody has seen the alert', params, response: answer },
    },
    async ({ params: { tub, id } }) =>
      (await watching.acknowledge(tub, id)) ?? Promise.reject(noAlert(id)),
  );

  api.post(
    '/tubs/:tub/alerts/:id/shelve',
    {
      config: { needs: 'full' },
      schema: {
        summary:
          'Keeps quiet about the fault and its point until then, also when it comes again; until now ends that',
        params,
        body: z.strictObject({ until: instant }),
        response: answer,
      },
    },
    async ({ params: { tub, id }, body }) => {
      const now = clock.now();
      if (body.until < now - CLOCKS_APART_MS) throw past(body.until, now);
      const until = Math.min(body.until, now + LONGEST_QUIET_MS);
      return (await watching.shelve(tub, id, until)) ?? Promise.reject(noAlert(id));
    },
  );

  api.post(
    '/tubs/:tub/alerts/:id/not-a-fault',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'Ends the alert with a reason, which goes to the log',
        params,
        body: z.strictObject({ why: z.string().trim().min(1).max(2000) }),
        response: answer,
      },
    },
    async ({ params: { tub, id }, body: { why } }) =>
      (await watching.notAFault(tub, id, why)) ?? Promise.reject(noAlert(id)),
  );
}

const noAlert = (id: string) => notFound(`alert ${JSON.stringify(id)} of this tub`);

function past(until: number, now: number) {
  const [then, present] = [until, now].map((t) => new Date(t).toISOString());
  const why = `${then} is past, it is ${present}: a time to come keeps quiet, the present ends that`;
  return refuseFaults('SUNSTEEP_CALL_INVALID', 'The time', [{ path: '/until', why }]);
}
