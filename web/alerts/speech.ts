import type { AlertScreenWords } from '../../model/words/alert-words.ts';
import { enAlerts } from '../../model/words/en-alerts.ts';
import { present } from '../present.ts';
import { say, words } from '../speech.ts';

/** The words of this screen, in the language of all others. */

const languages: Record<string, AlertScreenWords> = { en: enAlerts };

export const alertWords: AlertScreenWords = languages[words.language] ?? enAlerts;

/** An instant as people say it: the hour, with the date where that is not today's. */
export const moment = (instant: string | number): string =>
  say.value.moment(typeof instant === 'string' ? Date.parse(instant) : instant, present.value);
