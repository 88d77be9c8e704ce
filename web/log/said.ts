import type { LogEntryShape, LogKind } from '../../model/owner-log.ts';
import type { LogFormWords } from '../../model/words/log-words.ts';
import { instantOf, type Place } from './wall-time.ts';

/** What a person says in the form of a kind, as an entry of the log or as what is wrong with it. */

export interface Said {
  kind: LogKind;
  /** As clocks at the tub show it; empty where nothing was said. */
  from: string;
  until: string;
  point: string;
  note: string;
}

export type Wrong = keyof LogFormWords['wrong'];

/** Kinds that a person enters here, in the order of the screen; others come from where they are made. */
export const offered = [
  'filter-cleaned',
  'water-changed',
  'bathing',
  'away',
  'drained',
  'in-use',
  'cover-changed',
  'sensor-moved',
  'remark',
] as const satisfies LogKind[];

export const hasEnd = (kind: LogKind): boolean => kind === 'bathing' || kind === 'away';

/** Whether one can say it before it is so. */
export const canBePlanned = hasEnd;

const YEAR = 366 * 86_400_000; // ms
const MINUTE = 60_000; // ms

export function entryOf(
  said: Said,
  present: number,
  place: Place,
): { entry: Omit<LogEntryShape, 'id'> } | { wrong: Wrong } {
  const { kind, point } = said;
  const note = said.note.trim();
  const from = instantOf(said.from, place);
  const until = hasEnd(kind) && said.until !== '' ? instantOf(said.until, place) : null;
  if (from === null) return { wrong: 'from' };
  if (hasEnd(kind) && said.until !== '' && until === null) return { wrong: 'until' };
  if (!canBePlanned(kind) && from > present + MINUTE) return { wrong: 'ahead' };
  if (Math.max(from, until ?? from) > present + YEAR) return { wrong: 'far' };
  if (until !== null && until <= from) return { wrong: 'order' };
  if (kind === 'remark' && note === '') return { wrong: 'words' };
  const entry = {
    kind,
    from: new Date(from).toISOString(),
    ...(until !== null && { until: new Date(until).toISOString() }),
    ...(kind === 'sensor-moved' && point !== '' && { data: { point } }),
    ...(note !== '' && { note }),
  };
  return { entry };
}
