import { enMonths } from '../../model/words/en-months.ts';
import type { MonthsWords } from '../../model/words/months-words.ts';
import { say, words } from '../speech.ts';

/** The words of this screen, in the language of all others. */

const languages: Record<string, MonthsWords> = { en: enMonths };

export const monthsWords: MonthsWords = languages[words.language] ?? enMonths;

/** A month's own name without its year: `November`, `Nov`, `N`. */
export function monthName(month: string, width: 'long' | 'short' | 'narrow'): string {
  const { locale } = say.value.manner;
  return new Intl.DateTimeFormat(locale, { month: width, timeZone: 'UTC' }).format(
    Date.parse(`${month}-01`),
  );
}

/** `Mon 3`: days of one month stand below each other. */
export function dayName(date: string): string {
  const { locale } = say.value.manner;
  return new Intl.DateTimeFormat(locale, {
    weekday: 'short',
    day: 'numeric',
    timeZone: 'UTC',
  }).format(Date.parse(date));
}
