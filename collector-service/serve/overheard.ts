import { z } from 'zod';
import { guess, type KnownBeside } from '../../model/guess.ts';
import type { OverheardNumber } from '../ingest/overhearing.ts';
import { covers } from '../ingest/topic-filters.ts';
import type { App, Parts } from './parts.ts';
import { iso } from './spans.ts';

const MOST_MINUTES = 10;

const listening = z.object({
  until: z.iso.datetime().nullable().describe('until when every topic is heard; null: it is not'),
});

const numberSchema = z.object({
  pointer: z.string().nullable().describe('null: the payload is the number'),
  value: z.number(),
  values: z.array(z.number()).describe('its newest values in order'),
  wired: z.object({ tub: z.string(), point: z.string() }).nullable(),
  mayBe: z
    .object({ point: z.string(), unit: z.string().nullable(), why: z.string() })
    .nullable()
    .describe('the likeliest point that is not heard yet'),
});

const topicSchema = z.object({
  topic: z.string(),
  payload: z.string().describe('the newest, its first 200 bytes as escaped text'),
  time: z.iso.datetime(),
  count: z.int(),
  earlier: z.boolean().describe('the broker had it from before: it may be old'),
  numbers: z.array(numberSchema),
});

/** Hears every topic for a while, for whoever looks what could be wired; it belongs to the whole house. */
export function overheardRoutes(api: App, parts: Parts): void {
  const { overhearing } = parts;
  const until = () => {
    const { until } = overhearing.told();
    return until === null ? null : iso(until);
  };

  api.post(
    '/listen',
    {
      config: { needs: 'full-for-all' },
      schema: {
        summary: 'Hears every topic for a while',
        body: z.strictObject({ minutes: z.number().positive().max(MOST_MINUTES) }),
        response: { 200: listening },
      },
    },
    async ({ body }) => {
      overhearing.start(body.minutes);
      return { until: until() };
    },
  );

  api.get(
    '/listen',
    {
      config: { needs: 'full-for-all' },
      schema: {
        summary: 'What was heard since then, on topics that nothing is read from by itself',
        querystring: z.object({ tub: z.string().optional().describe('whose points are guessed') }),
        response: { 200: listening.extend({ items: z.array(topicSchema), next: z.null() }) },
      },
    },
    async ({ query }) => {
      const beside = await besideOf(parts, query.tub);
      const items = overhearing.told().topics.map(({ topic, at, numbers, ...told }) => ({
        topic,
        ...told,
        time: iso(at),
        numbers: numbers.map((number) => numberTold(parts, topic, number, beside)),
      }));
      return { until: until(), items, next: null };
    },
  );
}

function numberTold(parts: Parts, topic: string, number: OverheardNumber, beside: KnownBeside) {
  const { pointer, values } = number;
  const wired = wiredTo(parts, topic, pointer);
  const mayBe = wired ? null : guess({ topic, ...number }, beside);
  return { pointer, value: values.at(-1)!, values, wired, mayBe };
}

function wiredTo({ watching }: Parts, topic: string, pointer: string | null) {
  const wire = watching
    .setup()
    .setup.wiring?.find((wire) => covers(wire.topic, topic) && (wire.pointer ?? null) === pointer);
  return wire ? { tub: wire.tub, point: wire.point } : null;
}

/** What is known of the tub that is asked for, or of the only one; what is wired may be heard later. */
async function besideOf({ watching }: Parts, asked: string | undefined): Promise<KnownBeside> {
  const tubs = await watching.tubs();
  const tub = asked ?? (tubs.length === 1 ? tubs[0]!.id : null);
  const values = (tub === null ? null : await watching.now(tub))?.values ?? {};
  const wired = (watching.setup().setup.wiring ?? []).filter((wire) => wire.tub === tub);
  return {
    tubC: values['tub/temperature']?.value ?? null,
    collectorC: values['collector/temperature']?.value ?? null,
    points: [...Object.keys(values), ...wired.map(({ point }) => point)],
  };
}
