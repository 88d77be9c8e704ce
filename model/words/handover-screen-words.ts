import type { Told } from './words.ts';

/** What the screen that makes a hand-over file says. */
export interface HandoverScreenWords {
  headline: Required<Pick<Told, 'sentence' | 'detail'>>;
  around(alert: string): string;
  days: string;
  from: string;
  to: string;
  wrong: Record<'missing' | 'order' | 'future', string>;
  tooMany(most: number): string;
  download: string;
  wait: string;
  holdsTitle: string;
  holds: string[];
  notTitle: string;
  not: string[];
  trust: string;
  use: string;
  viewer: string;
  unreachable: string;
}
