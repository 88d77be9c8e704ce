import { z } from 'zod';
import { nightsWithin } from '../../model/night.ts';
import { spanSchema } from '../../model/shapes.ts';
import type { App, Parts } from './parts.ts';
import { inOrder, instant, iso } from './spans.ts';
import { mustKnow, tubParams } from './tubs.ts';

/** Longer spans would hold the service up, and nobody could tell their nights apart. */
const LONGEST_MS = 40 * 86_400_000;

const query = inOrder(z.object({ from: instant, to: instant })).refine(
  ({ from, to }) => to - from <= LONGEST_MS,
  { path: ['to'], error: 'expected a time at most 40 days after `from`' },
);

export function nightRoutes(api: App, { watching }: Parts): void {
  api.get(
    '/tubs/:tub/nights',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Spans with the sun below the horizon; none where the place is not known',
        params: tubParams,
        querystring: query,
        response: { 200: z.object({ items: z.array(spanSchema), next: z.null() }) },
      },
    },
    async ({ params: { tub }, query: { from, to } }) => {
      await mustKnow(watching, tub);
      const { tubs = [] } = watching.setup().setup;
      const place = tubs.find(({ id }) => id === tub)?.place;
      const nights = place ? nightsWithin(from, to, place.latitude, place.longitude) : [];
      return {
        items: nights.map((night) => ({ from: iso(night.from), to: iso(night.to) })),
        next: null,
      };
    },
  );
}
