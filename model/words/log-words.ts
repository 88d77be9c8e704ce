import type { LogKind } from '../owner-log.ts';
import type { Told } from './words.ts';

/** What kinds of entries in the owner's log are called, wherever they stand. */
export interface LogKindWords {
  name: Record<LogKind, string>;
  /** What an entry changes, in one line. */
  changes: Record<LogKind, string>;
}

/** What the Log screen says beside that. */
export interface LogWords {
  none: Told;
  newest(told: { name: string; when: string; planned: boolean }): Told;
  failed: Told;
  lastKnown(told: { since: string; duration: string }): string;
  what: string;
  viewer: string;
  form: LogFormWords;
  entered(name: string): string;
  entries: string;
  /** `until`: null where it has no end of its own. */
  when(told: { from: string; until: string | null }): string;
  planned: string;
  flow(flow: string): string;
  difference(points: [string, string] | null, degrees: string): string;
  litres(volume: string): string;
  people(count: number): string;
  remove: string;
  /** What is heard of the button that removes an entry. */
  removeNamed(name: string, when: string): string;
  removeSure: string;
  removeMeans: string;
  removeIt: string;
  keepIt: string;
  removed(name: string): string;
  gone: string;
  unreachable: string;
  refused(why: string): string;
}

export interface LogFormWords {
  /** What opens the form of a kind, where that is not the kind's name. */
  opens: Partial<Record<LogKind, string>>;
  at: string;
  from: string;
  until: string;
  untilHint: Partial<Record<LogKind, string>>;
  point: string;
  anyPoint: string;
  note: string;
  noteHint: string;
  words: string;
  enter: string;
  entering: string;
  wrong: Record<'from' | 'until' | 'order' | 'ahead' | 'far' | 'words', string>;
}
