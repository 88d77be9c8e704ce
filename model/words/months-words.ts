import type { Basis } from '../shapes.ts';
import type { Comparison } from '../year-before.ts';
import type { Speaker } from './speaker.ts';
import type { Told } from './words.ts';

/** What the months' own screen says; apart, since Today does not need it. */
export interface MonthsWords {
  /** What a month came to. `month`: its name; null: the present one, which is not over. */
  saved(told: { month: string | null; kwh: number; basis: Basis }, say: Speaker): string;
  /** Where what was saved is not known: the heat. */
  heat(told: { month: string | null; kwh: number | null; basis: Basis }, say: Speaker): string;
  /** Money and CO₂; each null where it is not known. */
  worth(
    told: { money: number | null; currency: string | null; co2Kg: number | null },
    say: Speaker,
  ): string;
  /** Two standard uncertainties to either side. */
  between(told: { kwh: number; lowKwh: number; highKwh: number }, say: Speaker): string;
  savedUnknown: Record<'no-backup' | 'working-out' | 'not-worked-out', string>;
  /** `month`: the one that is compared with; `sameDays`: with its days up to now alone. */
  compared(told: Comparison & { month: string; sameDays: boolean }, say: Speaker): string;
  none: Told;
  noPlace: Told;
  notHeard(month: string): Told;
  notYet(month: string): Told;
  failed: Told;
  /** The phone has lost the service, and shows what it knew. */
  lastKnown(told: { since: string; duration: string }): string;
  chart: MonthChartWords;
  table: MonthTableWords;
  sheet: string;
  csv: string;
  /** Name of the file, without its ending. */
  file(tub: string, month: string | null): string;
  before: string;
  after: string;
  all: string;
  steps: string;
}

export interface MonthChartWords {
  title: Record<'saved' | 'heat', string>;
  key: string;
  keyUnderWay: string;
  /** `best` and `least` with their months; the month under way stands apart. */
  answer(
    told: {
      of: 'saved' | 'heat';
      best: { month: string; kwh: number } | null;
      least: { month: string; kwh: number } | null;
      soFar: { month: string; kwh: number } | null;
      unknown: string[];
    },
    say: Speaker,
  ): string;
}

export interface MonthTableWords {
  title: Record<'months' | 'days', string>;
  basis: Record<'measured' | 'estimated' | 'mixed', string>;
  basisWord: Record<'measured' | 'estimated' | 'mixed', string>;
  month: string;
  day: string;
  fromSun: string;
  useful: string;
  saved: string;
  notKnown: string;
  notHeard: string;
  range(range: [string, string]): string;
  daysOf(days: number, of: number): string;
}
