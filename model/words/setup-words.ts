import type { Speaker } from './speaker.ts';
import type { Told } from './words.ts';

/** What Set-up says: its list of sections, its questions by path, and what became of an answer. */

export interface QuestionWords {
  label: string;
  /** What the answer changes, and how to find it. */
  hint: string;
  /** What each choice is called. */
  choices?: Record<string, string>;
}

export interface SetupWords {
  headline(told: { assumed: number; missing: number }): Told;
  /** Before any board has spoken. */
  beforeTub: Told;
  failed: Told;
  viewer: Told;
  /** What readings take on the disk; growth is null before it can be told. */
  disk(
    told: { storeMb: number; growsMbPerYear: number | null; freeMb: number | null },
    say: Speaker,
  ): string;
  notForSafety: string;
  part: string;
  sections: Record<string, { name: string; isFor: string; title: string }>;
  counts(told: { missing: number; assumed: number }): string;
  stillAssumed(n: number): string;
  standing: Record<'said' | 'assumed' | 'learned' | 'data-sheet' | 'open', string>;
  unsaved: string;
  units: Record<string, string>;
  questions: Record<string, QuestionWords>;
  wrong(
    why:
      | { wrong: 'bounds'; low: string; high: string; above: boolean }
      | { wrong: 'long'; most: number }
      | { wrong: string },
  ): string;
  wrongSomewhere: string;
  refusedField(why: string): string;
  refused(why: string): string;
  unreachable: string;
  unreachableOnce: string;
  saved: string;
  save: string;
  saving: string;
  forget: string;
  confirm: string;
  confirmHint(names: string[]): string;
  since: {
    title: string;
    now: string;
    nowHint: string;
    always: string;
    alwaysHint: string;
    date: string;
    dateHint: string;
    firstDay: string;
    wrongDate: string;
  };
  preview: string;
  previewed(days: { count: number; first: string; last: string } | null): string;
  next(name: string): string;
  all: string;
  place: {
    needsHttps: string;
    /** The place lies far from where its time zone is. */
    doubted(told: { place: string; zone: string; meant: string | null }): string;
    coordinates(latitude: string, longitude: string): string;
    take(meant: string): string;
    isRight: string;
  };
  spans: {
    span(n: number): string;
    days: string;
    from: string;
    to: string;
    price: string;
    add: string;
    remove: string;
    overMidnight: string;
    noHours: string;
  };
  secret: { isKept: string; none: string };
  endMail: string;
  endWebhook: string;
  test: { mail: string; webhook: string; first: string; sending: string };
}
