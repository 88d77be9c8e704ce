import { computed, effect, signal } from '@preact/signals';
import type { DayWithQuarters } from '../../model/shapes.ts';
import { screenAddress } from '../address.ts';
import { dayNews, now, situation, tub } from '../live.ts';
import { present } from '../present.ts';
import { get } from '../service.ts';
import { say } from '../speech.ts';

/** The day that is shown: the one of the address, else today where the tub stands. */

export const dayPath = /^\/(?:day\/(\d{4}-\d{2}-\d{2})\/?)?$/;

export const today = computed(() => say.value.dateOf(present.value));

export const shownDate = computed(() => dayPath.exec(screenAddress.value)?.[1] ?? today.value);

export const isToday = computed(() => shownDate.value === today.value);

interface Fetched {
  tub: string;
  date: string;
  /** null: nothing is known of that day. */
  day: DayWithQuarters | null;
}

const fetched = signal<Fetched | null>(null);
const failed = signal(false);

/** undefined while it is being fetched. */
export const shownDay = computed<DayWithQuarters | null | undefined>(() => {
  const found = fetched.value;
  return found?.tub === tub.value && found?.date === shownDate.value ? found.day : undefined;
});

export const dayFailed = computed(() => failed.value && shownDay.value === undefined);

/** The sums of the shown day: for today those that came last by whichever way. */
export const shownSums = computed(() => {
  const live = situation.value?.day ?? null;
  if (live?.date === shownDate.value) return live;
  return shownDay.value ?? null;
});

/** Every quarter hour of a day comes in one answer: at most once a minute. */
const BETWEEN_FETCHES = 60_000; // ms

/** A day as it was known before, until it is heard anew. */
export function restoreDay(shown: string, day: DayWithQuarters): void {
  fetched.value ??= { tub: shown, date: day.date, day };
}

let asked = 0;
let due: ReturnType<typeof setTimeout> | undefined;
let fetchedAt = Number.NEGATIVE_INFINITY;

async function fetchDay(shown: string, date: string): Promise<void> {
  const mine = ++asked;
  clearTimeout(due);
  due = undefined;
  fetchedAt = performance.now();
  const answer = await get<DayWithQuarters>(`/api/tubs/${shown}/days/${date}`);
  if (mine !== asked) return;
  failed.value = !answer.ok && answer.status !== 404;
  if (answer.ok) fetched.value = { tub: shown, date, day: answer.body };
  else if (answer.status === 404) fetched.value = { tub: shown, date, day: null };
}

export function startDay(): void {
  // A tub without a place has no days, so there is nothing to ask for.
  const wanted = computed(() =>
    now.value?.figures.timeZone ? `${tub.value} ${shownDate.value}` : null,
  );
  effect(() => {
    const [shown, date] = wanted.value?.split(' ') ?? [];
    if (shown && date) fetchDay(shown, date);
  });
  effect(() => {
    const { date, count } = dayNews.value;
    if (count === 0 || due !== undefined) return;
    const [shown, dateShown] = wanted.peek()?.split(' ') ?? [];
    if (!shown || !dateShown || (date !== null && date !== dateShown)) return;
    // null: the page was away, and may have missed anything.
    const wait = date === null ? 0 : fetchedAt + BETWEEN_FETCHES - performance.now();
    due = setTimeout(() => fetchDay(shown, dateShown), Math.max(0, wait));
  });
}
