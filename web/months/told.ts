import type { Month } from '../../model/shapes.ts';
import type { MonthsWords } from '../../model/words/months-words.ts';
import type { Speaker } from '../../model/words/speaker.ts';
import type { Told } from '../../model/words/words.ts';
import { figuresOf } from './bars.ts';

/** Why what was saved is not known, as far as the page can tell. */
export type WhyUnknown = keyof MonthsWords['savedUnknown'];

/**
 * What a month came to, in one sentence and what belongs to it.
 *
 * @param name  of the month; null: it is the present one
 */
export function monthTold(
  month: Month,
  name: string | null,
  why: WhyUnknown,
  words: MonthsWords,
  say: Speaker,
): Told {
  const { savedKwh, basis } = month;
  if (savedKwh === null) {
    const sentence = words.heat({ month: name, kwh: month.gainKwh, basis }, say);
    return { sentence, detail: join(doubtOf(month, 'heat', words, say), words.savedUnknown[why]) };
  }
  const { savedMoney: money, currency, savedCo2Kg: co2Kg } = month;
  return {
    sentence: words.saved({ month: name, kwh: savedKwh, basis }, say),
    detail: join(words.worth({ money, currency, co2Kg }, say), doubtOf(month, 'saved', words, say)),
  };
}

const join = (...parts: (string | null)[]) => parts.filter((part) => part !== null).join(' ');

function doubtOf(
  month: Month,
  kind: 'saved' | 'heat',
  words: MonthsWords,
  say: Speaker,
): string | null {
  const { kwh, lowKwh, highKwh } = figuresOf(month, kind);
  if (kwh === null || lowKwh === null || highKwh === null) return null;
  return words.between({ kwh, lowKwh, highKwh }, say);
}

/** How the month's figures come about, where all of them come about alike. */
export function commonBasis(rows: readonly { basis: Month['basis'] }[]): Month['basis'] {
  const bases = new Set(rows.flatMap(({ basis }) => basis ?? []));
  return bases.size === 1 ? [...bases][0]! : null;
}
