import type { Told } from './words.ts';

/** Why a phone cannot show notices. */
export type NoNotices =
  | 'not-secure'
  | 'not-installed'
  | 'not-able'
  | 'denied'
  | 'not-answered'
  | 'private';

/** What the screen says by which this phone is told of alerts. */
export interface PhoneNoticesWords {
  off: Told;
  on: Told;
  /** The phone shows no notices though it is to be told. */
  lost: Told;
  loading: string;
  failed: Told;
  cannot: Record<NoNotices, Told>;
  waysOut: { title: string; certificate: string; proxy: string; mail: string };
  turnOn: string;
  turningOn: string;
  turnOff: string;
  why: string;
  wishes: string;
  least: { title: string; look: string; act: string; danger: string };
  quiet: {
    title: string;
    house: string;
    own: string;
    none: string;
    from: string;
    to: string;
    means: string;
    wrong: string;
  };
  atNight: string;
  save: string;
  saved: string;
  turnedOff: string;
  test: string;
  testing: string;
  testSent: string;
  testFailed(why: string): string;
  tooMany: string;
  undelivered(why: string): string;
  waiting(count: number): string;
  unreachable: string;
  refused(why: string): string;
  noSafety: string;
}
