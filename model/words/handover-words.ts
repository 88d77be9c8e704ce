import type { TubSettings } from '../tub-settings.ts';
import type { Speaker } from './speaker.ts';

/** One thing of the set-up in words; `assumed` where nobody has said it. */
export interface SetupLine {
  what: string;
  is: string;
  assumed: boolean;
}

/** What the page in a hand-over file says to somebody who is to help. */
export interface HandoverPageWords {
  title(name: string): string;
  span(of: { from: string; to: string }): string;
  made(at: string, timeZone: string): string;
  holdsTitle: string;
  holds: string[];
  keepsBack: string;
  warmUp(from: string): string;
  again(of: { tub: string }): string;
  chart: string;
  chartSays: string;
  noChart: string;
  pumpRuns: string;
  days: string;
  noDays: string;
  day: string;
  columns: Record<'gain' | 'useful' | 'saved' | 'water' | 'pumpHours' | 'coverage', string>;
  range(low: string, high: string): string;
  basis: Record<'measured' | 'estimated' | 'mixed', string>;
  alerts: string;
  noAlerts: string;
  severity: Record<'danger' | 'act' | 'look' | 'note', string>;
  stands(since: string): string;
  stood(of: { from: string; until: string }): string;
  seen(at: string): string;
  checks: string;
  log: string;
  noLog: string;
  setup: string;
  setupSays: string;
  assumed: string;
  setupLines(
    settings: TubSettings,
    said: (part: string, key: string) => boolean,
    say: Speaker,
  ): SetupLine[];
}
