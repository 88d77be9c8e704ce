import { computed, effect, signal } from '@preact/signals';
import { MINUTE, QUARTER } from '../../model/readings.ts';
import type { Evening } from '../../model/shapes.ts';
import { dayNews, now, tub } from '../live.ts';
import { present } from '../present.ts';
import { get } from '../service.ts';
import { type Foretold, outlookOf } from './outlook.ts';
import { isToday, today } from './shown-day.ts';

/** The look ahead to the evening, fetched once the page has been painted and each quarter hour from then on. */

const fetched = signal<(Foretold & { tub: string }) | null>(null);

export const outlook = computed(() =>
  outlookOf(fetched.value?.tub === tub.value ? fetched.value : null, present.value),
);

/** Each look takes the service five weeks of readings. */
const BETWEEN_FETCHES = 5 * MINUTE;
/** A quarter hour that has just ended is worked out first. */
const WORKED_OUT = MINUTE / 2;

/** What a look ahead rests on besides readings: another tub or set-up is asked about at once. */
const wanted = computed(() => {
  const figures = now.value?.figures;
  if (!isToday.value || !figures?.timeZone || figures.drainedSince !== null) return null;
  return `${tub.value} ${figures.timeZone} ${figures.targetC}`;
});

const quarter = computed(() => Math.floor((present.value - WORKED_OUT) / QUARTER));

let asked: string | null = null;
let askedAt = Number.NEGATIVE_INFINITY;
let frame = 0;
let due: ReturnType<typeof setTimeout> | undefined;

/** After the next paint, and not before the last look is old enough. */
function ask(what: string): void {
  cancelAnimationFrame(frame);
  clearTimeout(due);
  const wait = what === asked ? askedAt + BETWEEN_FETCHES - performance.now() : 0;
  frame = requestAnimationFrame(() => {
    due = setTimeout(() => fetchEvening(what), Math.max(0, wait));
  });
}

async function fetchEvening(what: string): Promise<void> {
  const shown = tub.value;
  if (shown === null || what !== wanted.value) return;
  asked = what;
  askedAt = performance.now();
  const answer = await get<Evening>(`/api/tubs/${shown}/evening`);
  if (what !== asked) return;
  if (answer.ok) {
    fetched.value = { tub: shown, evening: answer.body, at: present.value };
    return;
  }
  asked = null;
  if (fetched.value?.tub !== shown)
    fetched.value = { tub: shown, evening: null, at: present.value };
}

export function startEvening(): void {
  effect(() => {
    const what = wanted.value;
    quarter.value;
    if (what !== null) ask(what);
  });
  effect(() => {
    // Today changes with every reading, for which the quarter is waited for. Where another day does,
    // the set-up or what is learned may have; null: the page was away.
    const { date, count } = dayNews.value;
    const what = wanted.peek();
    if (count > 0 && what !== null && date !== today.peek()) ask(what);
  });
}
