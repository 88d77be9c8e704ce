import type { LogEntry } from '../../model/owner-log.ts';
import { HOUR } from '../../model/readings.ts';
import { enLogKinds } from '../../model/words/en-log-kinds.ts';
import { enSheet } from '../../model/words/en-sheet.ts';
import type { LogKindWords } from '../../model/words/log-words.ts';
import type { SheetWords } from '../../model/words/sheet-words.ts';
import { type Manner, type Speaker, speakerOf } from '../../model/words/speaker.ts';

/** How the sheet speaks to the person who asked for it. */
export interface SheetSpeech {
  /** BCP 47 language of the words. */
  language: string;
  words: SheetWords;
  say: Speaker;
  /** `Mon 9` */
  dayName(date: string): string;
  /** `9 Feb`, or `9 – 11 Feb` of a first and a last. */
  dateRange(dates: readonly string[]): string;
  /** An entry of the log in one line. */
  logLine(entry: LogEntry): string;
}

const languages: Record<string, { words: SheetWords; kinds: LogKindWords }> = {
  en: { words: enSheet, kinds: enLogKinds },
};

/** More of a remark is not shown: the sheet is one page. */
const LONGEST_NOTE = 110;

export function sheetSpeech(manner: Omit<Manner, 'volume'>): SheetSpeech {
  const { language } = new Intl.Locale(manner.locale);
  const known = Object.hasOwn(languages, language) ? language : 'en';
  const { words, kinds } = languages[known]!;
  const locale = known === language ? manner.locale : known;
  const say = speakerOf({ ...manner, locale, volume: 'l' });
  const format = (options: Intl.DateTimeFormatOptions) =>
    new Intl.DateTimeFormat(locale, { ...options, timeZone: 'UTC' });
  const dayNames = format({ weekday: 'short', day: 'numeric' });
  const dates = format({ day: 'numeric', month: 'short' });
  const dateRange = ([first, last = first]: readonly string[]) =>
    dates.formatRange(Date.parse(first!), Date.parse(last!)).replace(/[\u2009\u202f]/g, ' ');
  return {
    language: known,
    words,
    say,
    dayName: (date) => dayNames.format(Date.parse(date)),
    dateRange,
    logLine: (entry) => logLine(entry, kinds, say, dateRange),
  };
}

function logLine(
  { kind, from, until, note }: LogEntry,
  kinds: LogKindWords,
  say: Speaker,
  dateRange: SheetSpeech['dateRange'],
): string {
  const [first, last] = [say.dateOf(from), until === null ? null : say.dateOf(until)];
  const time = (t: number) => say.time(t);
  const within = last === first && until !== null && until - from < 24 * HOUR;
  const when =
    last === null || within
      ? `${dateRange([first])}, ${time(from)}${within ? `–${time(until)}` : ''}`
      : dateRange([first, last]);
  const told = `${when}: ${kinds.name[kind]}`;
  if (note === null || note.trim() === '') return told;
  const plain = note.trim().replace(/\s+/g, ' ');
  const short =
    plain.length > LONGEST_NOTE
      ? `${[...plain]
          .slice(0, LONGEST_NOTE - 1)
          .join('')
          .trimEnd()}…`
      : plain;
  return `${told}. ${short}`;
}
