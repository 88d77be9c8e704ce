import type { PhonesWords } from '../../model/words/phones-words.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import type { PairedPhone } from './known.ts';

/** What is said of one phone, a line each. */
export function linesOf(
  phone: Omit<PairedPhone, 'kind'>,
  told: {
    present: number;
    tubName: (id: string) => string;
    ago: (ms: number) => string;
    words: PhonesWords;
    say: Speaker;
  },
): string[] {
  const { present, tubName, ago, words, say } = told;
  const thisYear = say.dateOf(present).slice(0, 4);
  const date = (t: number) => say.date(say.dateOf(t), thisYear);
  const end = lastDay(phone.until);
  return [
    words.right[phone.right],
    ...(phone.tubs === null ? [] : [words.onlyTubs(phone.tubs.map(tubName).join(', '))]),
    ...(end === null ? [] : [words.until(date(end))]),
    words.paired(date(Date.parse(phone.pairedAt))),
    ...(phone.you ? [] : [seenLine(phone, present, ago, words)]),
  ];
}

function seenLine(
  { seenAt }: Pick<PairedPhone, 'seenAt'>,
  present: number,
  ago: (ms: number) => string,
  words: PhonesWords,
): string {
  return seenAt === null
    ? words.neverSeen
    : words.seen(ago(Math.max(0, present - Date.parse(seenAt))));
}

/** A right that ends with a day ends as the next one begins: the last instant within it. */
const lastDay = (until: string | null): number | null =>
  until === null ? null : Date.parse(until) - 1;
