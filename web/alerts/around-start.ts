import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Alert } from '../../model/shapes.ts';
import { get } from '../service.ts';
import { spansAsked } from '../traces/spans-asked.ts';
import { place } from '../traces/speech.ts';
import { type ToldBucket, type Trace, traceOf } from '../traces/trace.ts';
import { midnight, type Span } from '../traces/view.ts';

/** What the sensors that an alert is about told around its start. */

export interface Around {
  span: Span;
  traces: Trace[];
  nights: Span[];
}

const BEFORE = 2 * HOUR;
const AFTER = 4 * HOUR;

/** Two hours before it, and four after it as far as they have been. */
export function aroundStart({ since }: Pick<Alert, 'since'>, present: number): Span {
  const start = Date.parse(since);
  return {
    from: start - BEFORE,
    to: Math.max(start + 10 * MINUTE, Math.min(start + AFTER, present)),
  };
}

type Told = { points: Record<string, { buckets: ToldBucket[] }> };

/** null where they cannot be had. */
export async function fetchAround(
  tub: string,
  points: readonly string[],
  span: Span,
  signal: AbortSignal,
): Promise<Around | null> {
  const asked = spansAsked(span, midnight(place.peek().dateOf(span.from), place.peek()));
  const between = `from=${iso(asked.from)}&to=${iso(asked.to)}`;
  const [readings, nights] = await Promise.all([
    get<Told>(
      `/api/tubs/${tub}/readings?points=${points.join(',')}&${between}&buckets=${asked.buckets}`,
      { signal },
    ),
    get<{ items: { from: string; to: string }[] }>(`/api/tubs/${tub}/nights?${between}`, {
      signal: signal,
    }),
  ]);
  if (!readings.ok) return null;
  return {
    span,
    traces: points.map((point) =>
      traceOf(point, readings.body.points[point]?.buckets ?? [], asked.bucketMs, undefined),
    ),
    nights: (nights.ok ? nights.body.items : []).map(({ from, to }) => ({
      from: Date.parse(from),
      to: Date.parse(to),
    })),
  };
}

const iso = (t: number) => new Date(t).toISOString();
