import { z } from 'zod';
import { daySchema, dayWithQuartersSchema, monthSchema } from '../../model/shapes.ts';
import type { App, Parts } from './parts.ts';
import { notFound } from './problems.ts';
import { date, inOrder, monthOrDate } from './spans.ts';
import { mustKnow, noTub, tubParams } from './tubs.ts';

const list = <T extends z.ZodType>(item: T) => z.object({ items: z.array(item), next: z.null() });

const span = <T extends z.ZodType<string>>(end: T) =>
  inOrder(z.object({ from: end.optional(), to: end.optional() }));

export function dayRoutes(api: App, { watching }: Parts): void {
  api.get(
    '/tubs/:tub/days',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Days with data between two local dates, both included',
        params: tubParams,
        querystring: span(date),
        response: { 200: list(daySchema) },
      },
    },
    async ({ params: { tub }, query: { from, to } }) => {
      const items = await watching.days(tub, from, to);
      if (!items) throw noTub(tub);
      return { items, next: null };
    },
  );

  api.get(
    '/tubs/:tub/days/:date',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'One local day with its quarter hours',
        params: tubParams.extend({ date }),
        response: { 200: dayWithQuartersSchema },
      },
    },
    async ({ params }) => {
      const day = await watching.day(params.tub, params.date);
      if (day) return day;
      await mustKnow(watching, params.tub);
      throw notFound(`day ${params.date} of this tub`);
    },
  );

  api.get(
    '/tubs/:tub/months',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Months with data between two months, both included',
        params: tubParams,
        querystring: span(monthOrDate),
        response: { 200: list(monthSchema) },
      },
    },
    async ({ params: { tub }, query: { from, to } }) => {
      const items = await watching.months(tub, from, to);
      if (!items) throw noTub(tub);
      return { items, next: null };
    },
  );
}
