import type { FaultId } from '../rules/fault-id.ts';
import type { EvidenceFigures } from '../rules/rule.ts';
import type { Speaker } from './speaker.ts';

/** What an alert is about, to be said. */
export interface ToldFault {
  evidence: EvidenceFigures;
  /** The point's name as people read it; null where the fault is the loop's as a whole. */
  point: string | null;
}

/** What is said of one fault. Plain words: never an id, a code or an abbreviation. */
export interface FaultWords {
  /** What is wrong, in one sentence that can be read on a lock screen. */
  says(told: ToldFault, say: Speaker): string;
  /** What to do first, in a few words: it follows on the lock screen. */
  first: string;
  /** The figures that raised it, in one sentence. */
  shows(told: ToldFault, say: Speaker): string;
  /** What to check, in this order. */
  checks: readonly string[];
  /** Where somebody could be hurt. */
  caution?: string;
  /** That it is over, in one sentence; what it cost is said after it. */
  over: string;
}

export type AllFaultWords = Record<FaultId, FaultWords>;

/** A figure of the evidence; null where it was not known. */
export const figure = ({ evidence }: ToldFault, name: string): number | null => {
  const value = evidence[name];
  return typeof value === 'number' ? value : null;
};

/** A difference of the evidence in the person's degrees: `3.2 degrees`. */
export function degrees(told: ToldFault, name: string, say: Speaker): string {
  const deltaK = figure(told, name);
  return deltaK === null ? 'some degrees' : `${say.number(say.difference(deltaK), 1)} degrees`;
}

/** A whole number of the evidence. */
export const count = (told: ToldFault, name: string): string =>
  `${figure(told, name)?.toFixed(0) ?? 'some'}`;
