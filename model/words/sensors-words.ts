import type { GuessReason } from '../guess.ts';
import type { Speaker } from './speaker.ts';
import type { Told } from './words.ts';

/** What the part of Set-up with the sensors says. */
export interface SensorsWords {
  headline(told: { heard: number; found: number }): Told;
  nothing: Told;
  failed: string;
  viewer: Told;
  heard: string;
  /** Of a value that the broker had from before. */
  earlier: string;
  /** It has changed most of all lately. */
  changesMost(change: string): string;
  corrected(correction: { by: string; on: string | null }, say: Speaker): string;
  pumpMeans: Record<'turning' | 'powered' | 'asked' | 'none', string>;
  change: string;
  found: string;
  isNew: string;
  guessed: Record<GuessReason, (name: string) => string>;
  /** Of a number that is sent in another unit than it is read in. */
  sentAs(value: number, unit: string): string;
  unitName(unit: string): string;
  somethingElse: string;
  notMine: string;
  others(count: number): string;
  placeMissing: string;
  toPlace: string;
  listening: (until: string) => string;
  notListening: string;
  listenAgain: string;
  form: {
    what: string;
    choose: string;
    chooseFirst: string;
    unit: string;
    /** What a number comes to in the unit that is chosen. */
    reads(value: string): string;
    tub: string;
    tubHint: string;
    wire: string;
    wiring: string;
    wrongTub: string;
  };
  wired(name: string): string;
  unwired(name: string): string;
  unreachable: string;
  refused(detail: string): string;
  wiredByHand: string;
  unwire: string;
  unwireSure: string;
  keepIt: string;
  unread: {
    title: string;
    told(told: { kinds: number; times: number }): string;
    why(why: string): string;
    times(count: number, when: string): string;
    perhaps(topic: string): string;
  };
}
