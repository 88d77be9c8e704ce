import { computed, effect, signal } from '@preact/signals';
import type { LogEntryShape } from '../../model/owner-log.ts';
import type { Day } from '../../model/shapes.ts';
import { type Comparison, withYearBefore } from '../../model/year-before.ts';
import { lostAt, tub } from '../live.ts';
import { get } from '../service.ts';
import { say } from '../speech.ts';
import { dateAfter } from '../today/date-after.ts';
import { today } from '../today/shown-day.ts';
import { daysOf, fetchDays, isOpen, monthOf, openedMonth, thisMonth } from './known.ts';
import { monthAfter } from './month-dates.ts';
import { type DailyMeans, stretchOf } from './stretch.ts';

/** The shown month held against the same days a year before, asked for once the month itself is known. */

interface Told {
  key: string;
  comparison: Comparison | null;
}

const told = signal<Told | null>(null);

/** Of a month under way the days that are over. */
const span = computed(() => {
  const month = openedMonth.value ?? thisMonth.value;
  const whole = month < thisMonth.value;
  const last = whole ? `${month}-31` : dateAfter(today.value, -1);
  return { month, whole, last };
});

const wanted = computed(() => {
  const { month, last } = span.value;
  const isKnown = (monthOf(month) ?? null) !== null;
  return isKnown && tub.value !== null ? `${tub.value} ${month} ${last}` : null;
});

/** null: nothing can be said, or not yet. */
export const compared = computed(() => {
  const { month, whole } = span.value;
  if (told.value === null || told.value.key !== wanted.value) return null;
  if (told.value.comparison === null) return null;
  const before = say.value.month(monthAfter(month, -12));
  return { ...told.value.comparison, month: before, sameDays: !whole };
});

interface Buckets {
  points: Record<string, { buckets: { mean: number; count: number }[] } | undefined>;
}

async function meansOf(shown: string, days: readonly Day[]): Promise<Record<string, DailyMeans>> {
  const [first, last] = [days[0]!.date, dateAfter(days.at(-1)!.date, 1)];
  const buckets = Math.round((Date.parse(last) - Date.parse(first)) / 86_400_000);
  const answer = await get<Buckets>(
    `/api/tubs/${shown}/readings?points=collector/irradiance,outdoor/temperature` +
      `&from=${first}T00:00:00Z&to=${last}T00:00:00Z&buckets=${buckets}`,
  );
  const { points } = answer.ok ? answer.body : { points: {} as Buckets['points'] };
  return {
    irradiance: points['collector/irradiance']?.buckets ?? [],
    outdoor: points['outdoor/temperature']?.buckets ?? [],
  };
}

async function stretch(shown: string, days: Day[], log: readonly LogEntryShape[]) {
  const { outdoor = [], irradiance = [] } = await meansOf(shown, days);
  const dates = new Set(days.map(({ date }) => date));
  const within = log.filter(({ from }) => dates.has(say.peek().dateOf(Date.parse(from))));
  return stretchOf({ days, outdoor, irradiance, log: within });
}

async function compare(key: string): Promise<void> {
  const shown = tub.peek();
  const { month, last } = span.peek();
  if (shown === null) return;
  const comparison = await comparisonOf(shown, month, last);
  if (comparison !== undefined && key === wanted.peek()) told.value = { key, comparison };
}

/** undefined where it could not be asked for. */
async function comparisonOf(shown: string, month: string, last: string) {
  const yearBefore = monthAfter(month, -12);
  const before = daysOf(yearBefore) ?? (await fetchDays(shown, yearBefore));
  if (before === null) return undefined;
  // The same days of both years; the last day of a leap year's February has none beside it.
  const upTo = (days: Day[]) => days.filter(({ date }) => date.slice(8) <= last.slice(8));
  const then = upTo(before);
  if (last < `${month}-01` || then.length === 0) return null;
  const days = await fetchDays(shown, month);
  const log = await get<{ items: LogEntryShape[] }>(`/api/tubs/${shown}/log`);
  if (days === null || !log.ok) return undefined;
  const now = upTo(days);
  if (now.length === 0) return null;
  return withYearBefore(
    await stretch(shown, now, log.body.items),
    await stretch(shown, then, log.body.items),
  );
}

export function startComparing(): void {
  effect(() => {
    const key = wanted.value;
    if (!isOpen.value || lostAt.value !== null) return;
    if (key !== null && key !== told.peek()?.key) compare(key);
  });
}
