import { computed, effect, signal } from '@preact/signals';
import type { Alert, Severity } from '../../model/shapes.ts';
import { alertNews, dayNews, now, tub } from '../live.ts';
import { get } from '../service.ts';
import { inOwnWords } from './own-words.ts';

/** Alerts as far as this phone knows them: fetched once, then kept fresh by whatever news comes. */

interface Known {
  tub: string | null;
  alerts: ReadonlyMap<string, Alert>;
  /** Whether those that are over are known too. */
  whole: boolean;
}

const known = signal<Known>({ tub: null, alerts: new Map(), whole: false });
const failed = signal(false);

const ofTub = computed(() => (known.value.tub === tub.value ? known.value : null));

const rank: Record<Severity, number> = { danger: 0, act: 1, look: 2, note: 3 };

const time = (instant: string | null) => (instant === null ? 0 : Date.parse(instant));

/** The gravest first, of equal ones the newest. */
export const standing = computed<Alert[]>(() =>
  [...(ofTub.value?.alerts.values() ?? [])]
    .map(inOwnWords)
    .filter(({ until }) => until === null)
    .sort((a, b) => rank[a.severity] - rank[b.severity] || time(b.raisedAt) - time(a.raisedAt)),
);

/** The one that ended last first; null until they are known. */
export const ended = computed<Alert[] | null>(() =>
  ofTub.value?.whole
    ? [...ofTub.value.alerts.values()]
        .map(inOwnWords)
        .filter(({ until }) => until !== null)
        .sort((a, b) => time(b.until) - time(a.until))
    : null,
);

export const endedFailed = computed(() => failed.value && ended.value === null);

/** undefined while it is not known whether there is such an alert. */
export function alertOf(id: string): Alert | null | undefined {
  const found = ofTub.value?.alerts.get(id);
  return found ? inOwnWords(found) : ofTub.value?.whole ? null : undefined;
}

/** Takes in what came last of alerts; what has ended stays so, since an id is one occurrence. */
export function take(news: readonly Alert[], whole = false): void {
  const before = known.peek();
  const same = before.tub === tub.peek();
  const alerts = new Map(same ? before.alerts : []);
  for (const alert of news) {
    if (alert.tub !== tub.peek()) continue;
    if (alert.until === null && alerts.get(alert.id)?.until) continue;
    alerts.set(alert.id, alert);
  }
  known.value = { tub: tub.peek(), alerts, whole: whole || (same && before.whole) };
}

let asked = 0;

async function fetchAll(shown: string): Promise<void> {
  const mine = ++asked;
  const answer = await get<{ items: Alert[] }>(`/api/tubs/${shown}/alerts`);
  if (mine !== asked || shown !== tub.peek()) return;
  failed.value = !answer.ok;
  if (answer.ok) take(answer.body.items, true);
}

export function startAlerts(): void {
  effect(() => {
    if (tub.value !== null) fetchAll(tub.value);
  });
  effect(() => {
    if (now.value !== null) take(now.value.alerts);
  });
  effect(() => {
    if (alertNews.value !== null) take([alertNews.value]);
  });
  effect(() => {
    // The page was away, and may have missed anything.
    const { date, count } = dayNews.value;
    const shown = tub.peek();
    if (count > 0 && date === null && shown !== null) fetchAll(shown);
  });
}
