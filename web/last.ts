import { effect } from '@preact/signals';
import type { DayWithQuarters, Now, Tubs } from '../model/shapes.ts';
import { forgetHouse, keep, kept } from './kept.ts';
import { access, lostAt, now, tub, tubs } from './live.ts';
import { restoreDay, shownDay } from './today/shown-day.ts';

/**
 * What was last known of the house, kept on the phone so that the page has something to show, with its
 * age, where the service is out of reach; it goes with this phone's right.
 */
interface Last {
  tub: string;
  tubs: Tubs;
  now: Now;
  day: DayWithQuarters | null;
}

const KEY = 'last';
/** Each keeping holds the page up a little. [ms] */
const BETWEEN_KEEPINGS = 30_000;
/** So long nobody looks at an empty page. [ms] */
const PATIENCE = 2500;

let keptAt = Number.NEGATIVE_INFINITY;
let day: DayWithQuarters | null = null;

function keepLast(): void {
  if (access.peek() !== 'paired' || lostAt.peek() !== null) return;
  const last = { tub: tub.peek(), tubs: tubs.peek(), now: now.peek(), day };
  if (last.tub === null || last.now === null) return;
  keptAt = performance.now();
  keep(KEY, JSON.stringify(last));
}

function lastKept(): Last | null {
  try {
    return JSON.parse(kept(KEY) ?? 'null') as Last | null;
  } catch {
    return null;
  }
}

function restore(): void {
  const last = lastKept();
  if (last === null || now.peek() !== null) return;
  tubs.value = last.tubs;
  if (tub.peek() === last.tub) {
    if (last.day !== null) restoreDay(last.tub, last.day);
    now.value = last.now;
  }
  lostAt.value = Date.parse(last.now.at);
  access.value = 'paired';
}

export function startLast(): void {
  effect(() => {
    const shown = shownDay.value ?? null;
    if (now.value === null || lostAt.value !== null) return;
    const dayIsNew = shown !== null && shown !== day;
    if (dayIsNew) day = shown;
    if (dayIsNew || performance.now() - keptAt > BETWEEN_KEEPINGS) keepLast();
  });
  effect(() => {
    // Within an effect what follows from one value would come after all of them.
    if (access.value === 'unreachable') queueMicrotask(restore);
    if (access.value === 'not-paired') forgetHouse();
  });
  setTimeout(() => {
    if (access.peek() === 'unknown') restore();
  }, PATIENCE);
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') keepLast();
  });
}
