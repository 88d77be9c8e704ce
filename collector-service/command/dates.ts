import { addDays, dayBounds } from '../../model/civil-time.ts';
import type { Store } from '../store/store.ts';
import { SetupBook } from '../watch/setup-book.ts';

/** Whether a text is a date of the calendar, `YYYY-MM-DD`. */
export const isDate = (text: string): boolean =>
  /^\d{4}-\d{2}-\d{2}$/.test(text) &&
  !Number.isNaN(Date.parse(text)) &&
  new Date(text).toISOString().startsWith(text);

/** First instant of a local date of a tub; by UTC for a tub that is not set up. */
export async function startOf(store: Store, tub: string, date: string): Promise<number> {
  const book = new SetupBook(await store.setupVersions());
  const zone = book.of(tub).at(-1)?.settings.place.timeZone ?? 'UTC';
  return dayBounds(date, zone).from;
}

/** First instant after a local date of a tub. */
export const endOf = (store: Store, tub: string, date: string): Promise<number> =>
  startOf(store, tub, addDays(date, 1));
