import type { Evening } from '../shapes.ts';
import { bathingLimitC } from '../state.ts';
import type { Speaker } from './speaker.ts';
import type { EveningWords } from './words.ts';

/** A look ahead that found something: the API's answer with none of these missing. */
export type ForeseenEvening = Evening & { at: string; lowC: number; highC: number };

export const isForeseen = (evening: Evening): evening is ForeseenEvening =>
  evening.at !== null && evening.lowC !== null && evening.highC !== null;

/** An evening in words, in the order in which a person has to hear them. */
export interface EveningTold {
  /** Before anything else; null where nobody expects water that is too hot for a bath. */
  caution: string | null;
  label: string;
  range: string;
  doubt: string;
  /** What the backup can do about it, and at what cost. */
  backup: string[];
}

/** What the service and the phone say of an evening, each in the units and the language of its reader. */
export function eveningTold(
  evening: ForeseenEvening,
  present: number,
  words: EveningWords,
  say: Speaker,
): EveningTold {
  const { lowC, highC, bySky } = evening;
  const at = Date.parse(evening.at);
  const when = say.dateOf(at) !== say.dateOf(present) ? 'tomorrow' : whenToday(at, say);
  return {
    caution: highC > bathingLimitC ? words.mayBeTooHot(say) : null,
    label: words.label(say.time(at), when),
    range: words.range(lowC, highC, say),
    doubt: bySky ? words.ifSkyStays : words.asUsual,
    backup: backupLines(evening, present, words, say),
  };
}

/** An owner may ask about a morning. */
const EVENING_FROM_H = 17;

const whenToday = (at: number, say: Speaker): 'today' | 'tonight' =>
  say.hourOf(at) >= EVENING_FROM_H ? 'tonight' : 'today';

/** The same as one text. */
export const eveningText = ({ caution, label, range, doubt, backup }: EveningTold): string =>
  [...(caution === null ? [] : [caution]), `${label} ${range}, ${doubt}.`, ...backup].join(' ');

function backupLines(
  evening: ForeseenEvening,
  present: number,
  words: EveningWords,
  say: Speaker,
): string[] {
  const { backup, why, targetC, lowC, highC } = evening;
  if (targetC === null) return [];
  if (backup === null) {
    const lacks = (lowC + highC) / 2 < targetC;
    if (why === 'warm-enough') return [words.warmEnough];
    if (why === 'no-backup') return lacks ? [words.noBackup(targetC, say)] : [];
    return [words.notInTime(targetC, say)];
  }
  const told = startsIn(evening, present, words, say);
  const latest = told(backup.latest);
  const cheapest = told(backup.cheapest);
  const lines = [words.backup({ ...latest, targetC }, say)];
  if (cheapest.money !== null && cheapest.money !== latest.money) {
    lines.push(words.cheaper({ start: cheapest.start, money: cheapest.money }));
  }
  return lines;
}

type Start = NonNullable<Evening['backup']>['latest'];

/** Starts as they are said; a start of null: its time has come. */
const startsIn =
  ({ at, currency }: ForeseenEvening, present: number, words: EveningWords, say: Speaker) =>
  ({ start, kwh, money }: Start) => {
    const instant = Date.parse(start);
    const clock = say.time(instant);
    const sameDay = say.dateOf(instant) === say.dateOf(Date.parse(at));
    const hasCome = instant <= present;
    return {
      start: hasCome ? null : sameDay ? clock : words.dayBefore(clock),
      kwh,
      money: money === null || currency === null ? null : say.money(money, currency),
    };
  };
