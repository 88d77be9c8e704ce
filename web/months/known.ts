import { computed, effect, signal } from '@preact/signals';
import type { Day, Month } from '../../model/shapes.ts';
import { screenAddress } from '../address.ts';
import { dayNews, lostAt, now, tub } from '../live.ts';
import { get } from '../service.ts';
import { today } from '../today/shown-day.ts';
import { monthAfter, monthsBetween } from './month-dates.ts';
import { monthsPath } from './months-screen.ts';

/** Months and their days as far as this phone knows them, of the tub that is shown. */

export const thisMonth = computed(() => today.value.slice(0, 7));

/** The month of the address; null for all of them. */
export const openedMonth = computed(() => monthsPath.exec(screenAddress.value)?.[1] ?? null);

/** Whether months are what is looked at. */
export const isOpen = computed(() => monthsPath.test(screenAddress.value));

const SHOWN = 12;

/** The last twelve, the newest last. */
export const lastMonths = computed(() =>
  monthsBetween(monthAfter(thisMonth.value, 1 - SHOWN), thisMonth.value),
);

interface Known {
  tub: string | null;
  /** null: nothing is known of that month. */
  months: ReadonlyMap<string, Month | null>;
  days: ReadonlyMap<string, Day[]>;
}

const nothing: Known = { tub: null, months: new Map(), days: new Map() };
const known = signal<Known>(nothing);
const failed = signal(false);

const ofTub = computed(() => (known.value.tub === tub.value ? known.value : nothing));

/** undefined while it is not known. */
export const monthOf = (month: string): Month | null | undefined => ofTub.value.months.get(month);

export const daysOf = (month: string): Day[] | undefined => ofTub.value.days.get(month);

/** What was asked for did not come; what was known before still is. */
export const monthsFailed = computed(() => failed.value);

function take(shown: string, news: Pick<Known, 'months' | 'days'>): void {
  const before = known.peek().tub === shown ? known.peek() : nothing;
  known.value = {
    tub: shown,
    months: new Map([...before.months, ...news.months]),
    days: new Map([...before.days, ...news.days]),
  };
}

async function fetchMonths(shown: string, first: string, last: string): Promise<void> {
  const answer = await get<{ items: Month[] }>(
    `/api/tubs/${shown}/months?from=${first}&to=${last}`,
  );
  if (shown !== tub.peek()) return;
  failed.value = !answer.ok;
  if (!answer.ok) return;
  const told = new Map(answer.body.items.map((month) => [month.month, month]));
  const months = monthsBetween(first, last).map(
    (month) => [month, told.get(month) ?? null] as const,
  );
  take(shown, { months: new Map(months), days: new Map() });
}

/** The days of a month; null where they cannot be had. */
export async function fetchDays(shown: string, month: string): Promise<Day[] | null> {
  const answer = await get<{ items: Day[] }>(
    `/api/tubs/${shown}/days?from=${month}-01&to=${monthAfter(month, 1)}-01`,
  );
  if (shown !== tub.peek()) return null;
  failed.value = !answer.ok;
  if (!answer.ok) return null;
  const items = answer.body.items.filter(({ date }) => date.startsWith(month));
  take(shown, { months: new Map(), days: new Map([[month, items]]) });
  return items;
}

/** A month under way changes with every quarter hour; its sums are worked out for each asking. */
const BETWEEN_FETCHES = 5 * 60_000; // ms

let fetchedAt = Number.NEGATIVE_INFINITY;
let due: ReturnType<typeof setTimeout> | undefined;

function fetchShown(shown: string, opened: string | null): void {
  clearTimeout(due);
  due = undefined;
  fetchedAt = performance.now();
  if (opened === null) {
    fetchMonths(shown, lastMonths.peek()[0]!, thisMonth.peek());
    return;
  }
  if (opened > thisMonth.peek()) return;
  fetchMonths(shown, opened, opened);
  fetchDays(shown, opened);
}

/** What is to be fetched; null where this screen is not open, or the tub has no calendar. */
const wanted = computed(() =>
  isOpen.value && now.value?.figures.timeZone && lostAt.value === null
    ? `${tub.value} ${thisMonth.value} ${openedMonth.value ?? ''}`
    : null,
);

export function startMonths(): void {
  effect(() => {
    if (wanted.value !== null && tub.value !== null) fetchShown(tub.value, openedMonth.value);
  });
  effect(() => {
    const { date, count } = dayNews.value;
    const shown = tub.peek();
    if (count === 0 || wanted.peek() === null || shown === null || due !== undefined) return;
    // null: the page was away, and may have missed anything.
    const wait = date === null ? 0 : fetchedAt + BETWEEN_FETCHES - performance.now();
    due = setTimeout(() => fetchShown(shown, openedMonth.peek()), Math.max(0, wait));
  });
}
