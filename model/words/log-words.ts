import type { LogKind } from '../owner-log.ts';
import type { Told } from './words.ts';

/** What kinds of entries in the owner's log are called: on the Log screen, on paper, in files. */
export interface LogKindWords {
  name: Record<LogKind, string>;
  /** What an entry changes, in one line. */
  changes: Record<LogKind, string>;
}

/** What the Log screen says beside that. */
export interface LogWords {
  title: Told;
  viewer: string;
  what: string;
  chosen: string;
  from: Record<'moment' | 'span' | 'away' | 'bathing', string>;
  until: string;
  untilHint: Record<'bathing' | 'away' | 'drained', string>;
  point: string;
  anyPoint: string;
  note: string;
  noteHint: string;
  remark: string;
  enter: string;
  entering: string;
  entered(name: string): string;
  cancel: string;
  wrongTime: string;
  wrongOrder: string;
  tooEarly: string;
  tooLate: Record<'past' | 'year', string>;
  remarkMissing: string;
  entries: string;
  none: string;
  failed: string;
  /** The phone has lost the service, and shows what it knew. */
  lastKnown(told: { since: string; duration: string }): string;
  /** When an entry holds. `until`: null where it has no end of its own. */
  when(told: { from: string; until: string | null; planned: boolean }): string;
  flow(flow: string): string;
  difference(names: [string, string] | null, degrees: string): string;
  litres(volume: string): string;
  remove: string;
  removeSure: string;
  removeMeans: Record<'sums' | 'nothing', string>;
  keep: string;
  removed: string;
  gone: string;
  unreachable: string;
  refused(why: string): string;
}
