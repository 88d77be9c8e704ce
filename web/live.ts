import { computed, effect, signal } from '@preact/signals';
import type { Alert, Day, Now, Tubs } from '../model/shapes.ts';
import { screenAddress, tubInAddress } from './address.ts';
import { keep, kept } from './kept.ts';
import { catchUp, present, setPresent } from './present.ts';
import { get } from './service.ts';
import type { Line } from './socket.ts';

/**
 * What the service says: first by one request, then by the socket for as long as that holds. When it
 * drops, what was last heard stays, with its age; when it is back everything is fetched again.
 */

export const access = signal<'unknown' | 'paired' | 'not-paired' | 'unreachable'>('unknown');
export const tubs = signal<Tubs | null>(null);
/** Of the tub that is shown. */
export const now = signal<Now | null>(null);
/** Since when nothing comes from the service [ms since 1970-01-01 UTC]; null while it does. */
export const lostAt = signal<number | null>(null);
/** Counts up whenever a day has changed, or everything may have. */
export const dayNews = signal<{ date: string | null; count: number }>({ date: null, count: 0 });

/** An alert that has just been raised, has grown worse, has ended or was handled. */
export const alertNews = signal<Alert | null>(null);

/** The tub of the address, else the only one, else the one seen last on this phone. */
export const tub = computed<string | null>(() => {
  const items = tubs.value?.items ?? [];
  const named = tubInAddress.value;
  if (named !== null) return named;
  if (items.length === 1) return items[0]!.id;
  const last = kept('tub');
  return items.some(({ id }) => id === last) ? last : null;
});

export const tubName = computed(
  () => tubs.value?.items.find(({ id }) => id === tub.value)?.name ?? tub.value,
);

const BETWEEN_TRIES = 4000; // ms

/**
 * The page's head has asked for the first view before anything of this was here: its answer is taken once,
 * but for a phone that was not let in yet.
 */
let isAskedFor = location.pathname !== '/pair';
let asked = 0;
let told = 0;
let trying: ReturnType<typeof setTimeout> | undefined;
let line: Line | null = null;

/** Fetches what is shown; a later call makes an earlier one's answer void. */
export async function refresh(): Promise<void> {
  const mine = ++asked;
  clearTimeout(trying);
  const list = isAskedFor
    ? await get<Tubs>('/api/tubs?now=true', { cache: 'default' })
    : await get<Tubs>('/api/tubs');
  isAskedFor = false;
  if (mine !== asked) return;
  if (!list.ok) return refused(list.status);
  tubs.value = list.body;
  access.value = 'paired';
  const shown = tub.value;
  if (shown === null) {
    // Nothing has spoken yet: the first reading should show up by itself.
    if (list.body.items.length === 0) trying = setTimeout(refresh, BETWEEN_TRIES);
    lostAt.value = null;
    return;
  }
  if (list.body.now && list.body.items[0]!.id === shown) take(list.body.now);
  else {
    const toldBefore = told;
    const answer = await get<Now>(`/api/tubs/${shown}/now`);
    if (mine !== asked || shown !== tub.value) return;
    if (!answer.ok) return refused(answer.status);
    // What the socket said meanwhile is newer.
    if (told === toldBefore) take(answer.body);
  }
  lostAt.value = null;
  listen();
}

function refused(status: number): void {
  if (status === 401) {
    forget();
    line?.close();
    line = null;
    listening = false;
    return;
  }
  // A tub that is not there, or not for this phone: the list of tubs shows that.
  if (status === 403 || status === 404) return;
  lostAt.value ??= catchUp();
  if (access.value === 'unknown') access.value = 'unreachable';
  trying = setTimeout(refresh, BETWEEN_TRIES);
}

/** This phone may not see the owner's things any more: what it saw goes too. */
function forget(): void {
  access.value = 'not-paired';
  tubs.value = null;
  now.value = null;
  alertNews.value = null;
  lostAt.value = null;
}

function take(news: Now): void {
  told++;
  setPresent(Date.parse(news.at));
  now.value = news;
}

function dayChanged(date: string | null): void {
  dayNews.value = { date, count: dayNews.value.count + 1 };
}

let listening = false;

/** Opens the socket once, after the first view has been painted. */
function listen(): void {
  if (listening) return;
  listening = true;
  requestAnimationFrame(() => setTimeout(openLine));
}

async function openLine(): Promise<void> {
  const { openLine: open } = await import('./socket.ts');
  let dropped = false;
  line = open({
    up() {
      lostAt.value = null;
      watch();
      if (!dropped) return;
      dropped = false;
      refresh();
      dayChanged(null);
    },
    down() {
      dropped = true;
      lostAt.value ??= catchUp();
    },
    // The service may be away, or this phone shut out, or sockets kept from passing: a request tells.
    refused: () => refresh(),
    now(news) {
      if (news.tub === tub.value) take(news);
    },
    day(news: Day & { tub: string }) {
      if (news.tub === tub.value) dayChanged(news.date);
    },
    alert(news) {
      if (news.tub === tub.value) alertNews.value = news;
    },
  });
}

function watch(): void {
  const shown = tub.value;
  if (shown !== null) line?.watch(shown);
}

/** Resolves once the first view has been asked for and answered. */
export async function startLive(): Promise<void> {
  let last: string | null = null;
  effect(() => {
    const shown = tub.value;
    if (shown === last) return;
    last = shown;
    now.value = null;
    if (shown === null) return;
    keep('tub', shown);
    if (access.peek() !== 'paired') return;
    watch();
    refresh();
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') comeBack();
  });
  addEventListener('online', comeBack);
  if (screenAddress.value !== '/pair') await refresh();
}

/** The page was away, or out of reach, for longer than anybody told it. */
function comeBack(): void {
  catchUp();
  refresh();
  dayChanged(null);
}

/** What is so at the present moment, not at that of the last news. */
export const situation = computed(() =>
  now.value === null ? null : { ...now.value, at: new Date(present.value).toISOString() },
);
