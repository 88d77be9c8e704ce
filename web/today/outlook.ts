import { HOUR, QUARTER } from '../../model/readings.ts';
import type { Evening } from '../../model/shapes.ts';
import { type ForeseenEvening, isForeseen } from '../../model/words/evening-told.ts';

/** A look ahead as the service told it, and when that was; null where it could not. */
export interface Foretold {
  evening: Evening | null;
  at: number;
}

/** What the phone may say of the evening just now. */
export type Outlook =
  | { kind: 'waiting' }
  /** `says`: why, in the service's words; `since`: when it was last foretold. Neither: it did not answer. */
  | { kind: 'unknown'; says: string | null; since: number | null }
  | {
      kind: 'foreseen';
      at: number;
      lowC: number;
      highC: number;
      evening: ForeseenEvening;
      /** Where that must be said [ms]. */
      ageMs: number | null;
    };

/** It is told anew each quarter hour; one that was missed is no reason to say so. */
const LATE = 2 * QUARTER;
/** By then the sky and the water have gone their own way. */
const GONE = 2 * HOUR;

export function outlookOf(foretold: Foretold | null, present: number): Outlook {
  if (foretold === null) return { kind: 'waiting' };
  const { evening, at: toldAt } = foretold;
  if (evening === null) return { kind: 'unknown', says: null, since: null };
  if (!isForeseen(evening)) return { kind: 'unknown', says: evening.says, since: null };
  const { lowC, highC } = evening;
  const at = Date.parse(evening.at);
  const ageMs = present - toldAt;
  if (at <= present || ageMs > GONE) return { kind: 'unknown', says: null, since: toldAt };
  return { kind: 'foreseen', at, lowC, highC, evening, ageMs: ageMs > LATE ? ageMs : null };
}
