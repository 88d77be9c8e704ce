import type { Severity } from '../shapes.ts';
import type { Told } from './words.ts';

/** What the alerts' own screen says beside the words of faults; apart, since Today does not need it. */
export interface AlertScreenWords {
  /** Nothing stands; what such sensors as these cannot show is said with it. */
  nothing(heard: { level: boolean; flow: boolean; power: boolean }): Told;
  /** What stands, in one sentence: how many of each severity. */
  standing(counts: Record<Severity, number>): Told;
  standsFor(told: { since: string; duration: string }): string;
  stood(told: { from: string; until: string; duration: string }): string;
  known(since: string): string;
  quiet(until: string): string;
  /** The phone has lost the service, and shows what it knew. */
  lastKnown(told: { since: string; duration: string }): string;
  ended: string;
  stoodFor(duration: string): string;
  endedFailed: string;
  notThere: Told;
  /** To the days around the alert in one file. */
  handOver: string;
  all: string;
  checks: string;
  answers: AnswerWords;
}

/** What a person can say to an alert. */
export interface AnswerWords {
  title: string;
  seen: string;
  quietUntil: string;
  tonight(clock: string): string;
  tomorrow(clock: string): string;
  week(date: string): string;
  date: string;
  untilDate: string;
  wrongDate: string;
  quietMeans: string;
  tellAgain: string;
  notAFault: string;
  why: string;
  whyHint: string;
  whyMissing: string;
  endIt: string;
  viewer: string;
  gone: string;
  unreachable: string;
  failed(why: string): string;
}
