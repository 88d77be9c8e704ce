import { instantOf, type Place } from '../log/wall-time.ts';
import type { Since } from './draft.ts';

/** From when a change holds, as it is chosen in the form. */
export type Choice = 'now' | 'always' | 'day';

/**
 * From when on a choice lets a change hold; null where the day is none, or is still to come.
 *
 * @param day  a date as forms have it, `2026-03-01`; its midnight counts, by the clock of `place`
 * @param present  ms since 1970-01-01 UTC
 */
export function sinceOf(choice: Choice, day: string, present: number, place: Place): Since | null {
  if (choice !== 'day') return choice;
  if (day > place.dateOf(present)) return null;
  const instant = instantOf(`${day}T00:00`, place);
  return instant === null ? null : (new Date(instant).toISOString() as Since);
}
