import { dateAfter } from '../today/date-after.ts';

/** The days that are handed over, as dates local to the tub. */

export interface Days {
  from: string;
  to: string;
}

/** As many as the service gives at a time. */
export const MOST_DAYS = 92;
/** What led to an alert began before it. */
const DAYS_BEFORE = 3;
const USUAL_DAYS = 7;

export type Wrong = 'missing' | 'order' | 'future' | 'too-many';

const isDate = (text: string | null): text is string =>
  /^\d{4}-\d{2}-\d{2}$/.test(text ?? '') && !Number.isNaN(Date.parse(text!));

/** From some days before an alert until it ended, or until today where it stands; the newest of too many. */
export function daysAround(since: string, until: string | null, today: string): Days {
  const to = until === null || until > today ? today : until;
  const [from, first] = [dateAfter(since, -DAYS_BEFORE), dateAfter(to, 1 - MOST_DAYS)];
  return { from: [from, first].sort()[1]!, to };
}

export const lastDays = (today: string): Days => ({
  from: dateAfter(today, 1 - USUAL_DAYS),
  to: today,
});

/** The days of a view's address, `?from=2026-03-01&to=2026-03-07`; null where it names none. */
export function daysIn(view: string): Days | null {
  const asked = new URLSearchParams(view);
  const [from, to] = [asked.get('from'), asked.get('to')];
  return isDate(from) && isDate(to) ? { from, to } : null;
}

export const viewOf = ({ from, to }: Days): string => `?${new URLSearchParams({ from, to })}`;

/** null for days that can be handed over. */
export function wrongWith({ from, to }: Days, today: string): Wrong | null {
  if (!isDate(from) || !isDate(to)) return 'missing';
  if (to < from) return 'order';
  if (to > today) return 'future';
  return from < dateAfter(to, 1 - MOST_DAYS) ? 'too-many' : null;
}
