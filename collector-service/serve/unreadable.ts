import { z } from 'zod';
import { covers } from './access.ts';
import type { App, Parts } from './parts.ts';
import { iso } from './spans.ts';

const unreadableSchema = z.object({
  topic: z.string(),
  payload: z.string().describe('first 200 bytes as escaped text'),
  why: z.string(),
  count: z.int(),
  first: z.iso.datetime(),
  last: z.iso.datetime(),
});

export function unreadableRoutes(api: App, { store }: Parts): void {
  api.get(
    '/unreadable',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'What arrived and could not be read',
        response: { 200: z.object({ items: z.array(unreadableSchema), next: z.null() }) },
      },
    },
    async ({ access }) => {
      const kinds = await store.unreadable();
      const items = kinds
        .filter(({ topic }) => access.tubs === null || covers(access, tubIn(topic)))
        .map(({ topic, payload, why, count, first, last }) => ({
          topic,
          payload,
          why,
          count,
          first: iso(first),
          last: iso(last),
        }));
      return { items, next: null };
    },
  );
}

/** The tub that a topic of ours names; no tub is called by the empty name of any other topic. */
const tubIn = (topic: string): string => {
  const [ours, tub] = topic.split('/');
  return ours === 'sunsteep' && tub ? tub : '';
};
