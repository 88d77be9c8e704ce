import { computed, effect, signal } from '@preact/signals';
import type { Alert } from '../../model/shapes.ts';
import { viewAddress } from '../address.ts';
import { lostAt, tub } from '../live.ts';
import { present } from '../present.ts';
import { get } from '../service.ts';
import { say } from '../speech.ts';
import { type Days, daysAround, daysIn, lastDays, wrongWith } from './days.ts';

/** Which days are to be handed over, and whether this phone may. */

const known = signal<{ tub: string; newest: Alert | null } | null>(null);
/** As typed; null as long as nobody has. */
export const chosen = signal<Days | null>(null);
/** Whether this phone may hand over; null while that is not known. */
export const mayHandOver = signal<boolean | null>(null);

export const today = computed(() => say.value.dateOf(present.value));

/** The alert that the days lie around where nobody said which they are; null where there is none. */
export const newest = computed(() => {
  const isAsked = chosen.value !== null || daysIn(viewAddress.value) !== null;
  return isAsked || known.value?.tub !== tub.value ? null : known.value.newest;
});

export const days = computed<Days>(
  () => chosen.value ?? daysIn(viewAddress.value) ?? usualDays(newest.value),
);

export const wrong = computed(() => wrongWith(days.value, today.value));

function usualDays(alert: Alert | null): Days {
  if (alert === null) return lastDays(today.value);
  const date = (instant: string) => say.value.dateOf(Date.parse(instant));
  return daysAround(date(alert.since), alert.until && date(alert.until), today.value);
}

async function ask(shown: string): Promise<void> {
  const [alerts, telling] = await Promise.all([
    get<{ items: Alert[] }>(`/api/tubs/${shown}/alerts`),
    get('/api/telling'),
  ]);
  if (shown !== tub.peek()) return;
  if (alerts.ok) known.value = { tub: shown, newest: alerts.body.items[0] ?? null };
  // A phone is told of its right by what it is refused.
  if (telling.ok) mayHandOver.value = true;
  else if (telling.status === 403) mayHandOver.value = false;
}

export function startHandover(): void {
  effect(() => {
    if (tub.value !== null && lostAt.value === null) ask(tub.value);
  });
  effect(() => {
    // other days were asked for by a link
    if (viewAddress.value !== '') chosen.value = null;
  });
}
