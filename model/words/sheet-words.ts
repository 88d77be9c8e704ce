import type { Basis } from '../shapes.ts';
import type { Speaker } from './speaker.ts';

/** What the month's sheet says on paper. */
export interface SheetWords {
  demo: string;
  /** `upTo`: the date up to which it has come, where it is not over. */
  title(told: { month: string; upTo: string | null }): string;
  /** What the sun saved, or put in where that is not known, in one sentence. */
  sentence(
    told: { savedKwh: number | null; gainKwh: number | null; basis: Basis },
    say: Speaker,
  ): string;
  figures: string;
  range: string;
  gain: string;
  basis: Record<NonNullable<Basis>, string>;
  lost: string;
  useful: string;
  saved: Record<'electric' | 'heat-pump' | 'gas' | 'none', string>;
  money: string;
  carbon: string;
  pump: string;
  water: string;
  waterRange(lowC: number, highC: number, say: Speaker): string;
  heard: string;
  heardDays(told: { days: number; of: number; coverage: number }, say: Speaker): string;
  notKnown: string;
  noBackup: string;
  noPrice: string;
  noCarbon: string;
  days: string;
  day: string;
  columns: Record<'gain' | 'useful' | 'saved', string>;
  notHeard: string;
  sum: string;
  notCounted: string;
  allCounted: string;
  savedUnknown: string;
  /** Why a span of a day is left out, in the service's own word for it. */
  why(why: string): string;
  spanOf(told: { date: string; from: string; to: string }): string;
  moreSpans(count: number): string;
  log: string;
  noLog: string;
  moreLog(count: number): string;
  method: string;
  heatBy: Record<NonNullable<Basis>, string>;
  savedBy: Record<'backup' | 'none', string>;
  doubt: string;
  made(told: { at: string; timeZone: string; settled: boolean }): string;
  howToPrint: string;
  back: string;
}
