import type { Told } from './words.ts';

/** What the two guided checks say. */
export interface GuidedWords {
  bucket: {
    headline: Told;
    caution: string;
    prepare: string[];
    volume: string;
    volumeHint: string;
    fill(n: number): string;
    start: string;
    stop: string;
    running(seconds: string): string;
    seconds: string;
    wrongVolume(most: string): string;
    wrongSeconds: string;
    again: string;
    result(told: { flow: string; low: string; high: string }): string;
    notYet(n: number): string;
    differ: string;
    /** The flow in use, which is less than what flows by what the pipes lose. */
    beside(told: { flow: string; basis: 'learned' | 'set-up' | 'assumed' }): string;
    use: string;
    used(flow: string): string;
    startOver: string;
  };
  cup: {
    headline: Told;
    caution: string;
    steps: string[];
    first: string;
    second: string;
    same: string;
    noSensors: string;
    value(told: { name: string; value: string; age: string }): string;
    silent(name: string): string;
    watch: string;
    stopWatching: string;
    waiting: string;
    moving: string;
    tooFar(difference: string): string;
    settled(told: { first: string; second: string; difference: string; more: boolean }): string;
    alike(told: { first: string; second: string }): string;
    offer(told: { name: string; offset: string }): string;
    which: string;
    follow(told: { changed: string; other: string }): string;
    use: string;
    confirmAlike: string;
    used: string;
    logMissing: string;
    logAgain: string;
  };
  degrees(difference: string, unit: 'C' | 'F'): string;
  sending: string;
  unreachable: string;
  refused(why: string): string;
  viewer: Told;
}
