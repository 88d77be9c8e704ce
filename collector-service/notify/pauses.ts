import type { Message } from '../../model/alerts/notice.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';

/** How long until the next try, after the first, the second … and each later one. [ms] */
const PAUSES_MS = [1, 2, 5, 15, 60].map((minutes) => minutes * MINUTE);
/** Danger is not left waiting for long once the way is free again. [ms] */
const LONGEST_FOR_DANGER_MS = 5 * MINUTE;
/** What could not be told for so long is told no more. [ms] */
const GIVEN_UP_MS = 24 * HOUR;

/**
 * When a notice is tried again [ms]; null once it is given up.
 *
 * @param tries  how often it was tried, this time included
 */
export function nextTry(
  { madeAt, message, tries }: { madeAt: number; message: Message; tries: number },
  now: number,
): number | null {
  const pause = PAUSES_MS[Math.min(tries, PAUSES_MS.length) - 1]!;
  const longest = message.severity === 'danger' ? LONGEST_FOR_DANGER_MS : pause;
  const due = now + Math.min(pause, longest);
  return due - madeAt < GIVEN_UP_MS ? due : null;
}
