import { computed } from '@preact/signals';
import { enLogKinds } from '../../model/words/en-log-kinds.ts';
import { enTraces } from '../../model/words/en-traces.ts';
import type { LogKindWords } from '../../model/words/log-words.ts';
import type { TracesWords } from '../../model/words/traces-words.ts';
import type { Place } from '../log/wall-time.ts';
import { say, timeZone, words } from '../speech.ts';
import { localClock } from '../today/clock-hours.ts';
import type { TimeNames } from './time-marks.ts';
import type { Language } from './told.ts';

/** The words of this screen, in the language of all others. */

const languages: Record<string, { traces: TracesWords; kinds: LogKindWords }> = {
  en: { traces: enTraces, kinds: enLogKinds },
};

const spoken = languages[words.language] ?? languages.en!;

export const tracesWords = spoken.traces;
export const kindWords = spoken.kinds;

/** The calendar and the clock of where the tub stands. */
export const place = computed<Place>(() => ({
  ...localClock(timeZone.value),
  dateOf: say.value.dateOf,
}));

export const language = computed<Language>(() => ({
  words: tracesWords,
  points: words.points,
  say: say.value,
}));

/** What the axis of time calls its marks. */
export const timeNames = computed<TimeNames>(() => {
  const { locale } = say.value.manner;
  const dates = new Intl.DateTimeFormat(locale, {
    day: 'numeric',
    month: 'short',
    timeZone: 'UTC',
  });
  const months = new Intl.DateTimeFormat(locale, { month: 'short', timeZone: 'UTC' });
  return {
    time: say.value.time,
    hour: say.value.hour,
    date: (date) => dates.format(Date.parse(date)),
    month: (date) => months.format(Date.parse(date)),
  };
});
