import { computed, effect, signal } from '@preact/signals';
import type { LogEntryShape } from '../../model/owner-log.ts';
import { MINUTE } from '../../model/readings.ts';
import type { Alert } from '../../model/shapes.ts';
import { screenAddress } from '../address.ts';
import { alertNews, dayNews, lostAt, now, tub } from '../live.ts';
import { present } from '../present.ts';
import { type Answer, get } from '../service.ts';
import { points, settled } from './shown-view.ts';
import { showsNights, spansAsked } from './spans-asked.ts';
import { place } from './speech.ts';
import { type ToldBucket, type Trace, traceOf } from './trace.ts';
import { tracesPath } from './traces-screen.ts';
import { midnight, type Span } from './view.ts';

/** What is drawn, as the service told it last. What was asked before the last question is given up. */

export interface Fetched {
  tub: string;
  /** What was asked for; the buckets may reach a little further. */
  span: Span;
  bucketMs: number;
  /** Where the first bucket begins, heard or not. */
  bucketsFrom: number;
  traces: Trace[];
  alerts: Alert[];
  entries: LogEntryShape[];
  nights: Span[];
}

const known = signal<Fetched | null>(null);
const failed = signal(false);

/** null before the first came. */
export const fetched = computed(() => (known.value?.tub === tub.value ? known.value : null));
export const fetchFailed = computed(() => failed.value);

type Told = { points: Record<string, { buckets: ToldBucket[] }> };
type Items<T> = { items: T[] };

/** A year of many lines takes its time on a small machine [ms]. */
const PATIENCE = 20_000;

let asking: AbortController | null = null;

async function fetchView(shown: string, names: string[], span: Span): Promise<void> {
  asking?.abort();
  const mine = new AbortController();
  asking = mine;
  const patience = setTimeout(() => mine.abort(), PATIENCE);
  const asked = askedFor(span);
  const between = `from=${iso(asked.from)}&to=${iso(asked.to)}`;
  const of = <T>(path: string) => get<T>(`/api/tubs/${shown}/${path}`, { signal: mine.signal });
  const [readings, alerts, log, nights] = await Promise.all([
    of<Told>(`readings?points=${names.join(',')}&${between}&buckets=${asked.buckets}`),
    of<Items<Alert>>('alerts'),
    of<Items<LogEntryShape>>('log'),
    showsNights(span) ? of<Items<{ from: string; to: string }>>(`nights?${between}`) : null,
  ]);
  clearTimeout(patience);
  if (mine !== asking) return;
  failed.value = !readings.ok;
  if (!readings.ok) return;
  known.value = {
    tub: shown,
    span,
    bucketMs: asked.bucketMs,
    bucketsFrom: asked.from,
    traces: names.map((point) =>
      traceOf(
        point,
        readings.body.points[point]?.buckets ?? [],
        asked.bucketMs,
        now.peek()?.values[point]?.longestGapMin,
      ),
    ),
    alerts: itemsOf(alerts),
    entries: itemsOf(log),
    nights: (nights === null ? [] : itemsOf(nights)).map(({ from, to }) => ({
      from: Date.parse(from),
      to: Date.parse(to),
    })),
  };
}

/** Buckets are counted from the midnight before the view. */
const askedFor = (span: Span) =>
  spansAsked(span, midnight(place.peek().dateOf(span.from), place.peek()));

const itemsOf = <T>(answer: Answer<Items<T>>): T[] => (answer.ok ? answer.body.items : []);

const iso = (t: number) => new Date(t).toISOString();

/** A view that reaches into the present grows, by a bucket at the most and no more than once a minute. */
const growth = computed(() => {
  if (settled.value.to <= present.value) return 0;
  return Math.floor(present.value / Math.max(MINUTE, askedFor(settled.value).bucketMs));
});

const wanted = computed(() =>
  tracesPath.test(screenAddress.value) &&
  lostAt.value === null &&
  now.value !== null &&
  points.value.length > 0
    ? [tub.value, points.value, settled.value.from, settled.value.to, growth.value].join(' ')
    : null,
);

export function startTraces(): void {
  const ask = () => {
    const shown = tub.peek();
    if (wanted.peek() !== null && shown !== null) fetchView(shown, points.peek(), settled.peek());
  };
  effect(() => {
    if (wanted.value !== null) ask();
    else asking?.abort();
  });
  effect(() => {
    // The page was away, and may have missed anything.
    if (dayNews.value.count > 0 && dayNews.value.date === null) ask();
  });
  effect(() => {
    const news = alertNews.value;
    const before = known.peek();
    if (news === null || before === null || news.tub !== before.tub) return;
    known.value = {
      ...before,
      alerts: [news, ...before.alerts.filter(({ id }) => id !== news.id)],
    };
  });
}
