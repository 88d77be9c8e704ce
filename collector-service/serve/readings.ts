import { setImmediate as nextTurn } from 'node:timers/promises';
import { z } from 'zod';
import { pointType } from '../../model/points.ts';
import { HOUR } from '../../model/readings.ts';
import type { PagePlace, Store } from '../store/store.ts';
import type { App, Parts } from './parts.ts';
import { inOrder, instant, iso } from './spans.ts';
import { mustKnow, tubParams } from './tubs.ts';

const PAGE = 10_000; // readings

const point = z
  .string()
  .refine(
    (name) => pointType(name) !== null,
    'expected points such as tub/temperature, with commas between',
  );

const query = inOrder(
  z.object({
    points: z
      .string()
      .transform((names) => [...new Set(names.split(','))])
      .pipe(z.array(point).max(200))
      .optional()
      .describe('points with commas between; left out: all that were heard'),
    from: instant.optional().describe('left out: a day before `to`'),
    to: instant.optional().describe('not included; left out: now'),
    buckets: z
      .string()
      .regex(/^\d{1,4}$/, 'expected a whole number from 0 to 1000')
      .transform(Number)
      .refine((count) => count <= 1000, 'expected a whole number from 0 to 1000')
      .default(400)
      .describe('at most so many spans of equal length; 0: the readings themselves, in pages'),
    cursor: z
      .string()
      .transform(placeOf)
      .pipe(z.custom<PagePlace>((place) => place !== null, 'expected the `next` of a page before'))
      .optional()
      .describe('with buckets=0, the `next` of the page before'),
  }),
);

const bucketSchema = z.object({
  from: z.iso.datetime(),
  min: z.number(),
  mean: z.number(),
  max: z.number(),
  count: z.int(),
});

const answer = z.union([
  z.object({
    points: z.record(
      z.string(),
      z.object({
        count: z.int(),
        buckets: z.array(bucketSchema).describe('one without readings is absent'),
      }),
    ),
  }),
  z.object({
    items: z.array(z.object({ point: z.string(), time: z.iso.datetime(), value: z.number() })),
    next: z.string().nullable().describe('the `cursor` of the next page'),
  }),
]);

export function readingRoutes(api: App, { watching, store, clock }: Parts): void {
  api.get(
    '/tubs/:tub/readings',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Readings of some points between two instants, summed up in buckets or one by one',
        params: tubParams,
        querystring: query,
        response: { 200: answer },
      },
    },
    async ({ params: { tub }, query }) => {
      await mustKnow(watching, tub);
      const to = query.to ?? Math.max(clock.now(), query.from ?? 0);
      const span = { tub, from: query.from ?? to - 24 * HOUR, to };
      const points = query.points ?? (await store.points(tub));
      return query.buckets === 0
        ? page(store, span, points, query.cursor)
        : buckets(store, span, points, query.buckets);
    },
  );
}

interface Span {
  tub: string;
  from: number;
  to: number;
}

async function buckets(store: Store, { tub, from, to }: Span, points: string[], most: number) {
  const widthMs = Math.max(1, (to - from) / most);
  const summed: [string, { count: number; buckets: z.infer<typeof bucketSchema>[] }][] = [];
  for (const point of points) {
    const found = await store.buckets(tub, point, from, to, widthMs);
    summed.push([
      point,
      {
        count: found.reduce((count, bucket) => count + bucket.count, 0),
        buckets: found.map(({ from, min, sum, max, count }) => ({
          from: iso(Math.ceil(from)),
          min,
          mean: sum / count,
          max,
          count,
        })),
      },
    ]);
    // many points over a long span: messages and other phones go in between
    await nextTurn();
  }
  return { points: Object.fromEntries(summed) };
}

async function page(store: Store, span: Span, points: string[], after?: PagePlace) {
  const { tub, from, to } = span;
  const found = await store.page(tub, points, from, to, PAGE + 1, after);
  const items = found.slice(0, PAGE);
  const last = items.at(-1);
  return {
    items: items.map(({ point, t, value }) => ({ point, time: iso(t), value })),
    next: found.length > PAGE && last ? cursorOf(last) : null,
  };
}

const cursorOf = ({ t, point }: PagePlace): string =>
  Buffer.from(`${t} ${point}`).toString('base64url');

function placeOf(cursor: string): PagePlace | null {
  const match = /^(-?\d{1,16}) (\S+)$/.exec(Buffer.from(cursor, 'base64url').toString());
  return match && pointType(match[2]!) ? { t: Number(match[1]), point: match[2]! } : null;
}
