import type { AlertRecord, Showing } from '../../model/alerts/alert-life.ts';
import type { About, Message } from '../../model/alerts/notice.ts';
import type { DayFacts } from '../../model/alerts/rounds.ts';
import type { PhoneWishes, Told } from '../../model/alerts/telling.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import type { Reading, Trace } from '../../model/readings.ts';
import type { FaultId } from '../../model/rules/fault-id.ts';
import type { Setup } from '../../model/setup.ts';

/**
 * What every store promises; test/store/promise.ts is this promise as tests, run for each store.
 *
 * - What `keep` has resolved for is on disk: it outlives a kill and a power cut.
 * - The same (tub, point, t) again changes nothing; with another value the greater stays.
 * - Each reading that changed anything leaves a mark that the ledger around it is to be worked out
 *   again; the mark goes in the transaction that writes the ledger, and in no other way.
 * - Answers are promises, so that another engine fits behind this interface.
 */
export interface Store {
  keep(arrivals: Arrivals): Promise<void>;

  /** Every tub that was ever heard, by name. */
  tubs(): Promise<TubHeard[]>;
  /**
   * Forgets a tub: its readings, ledger, days, log, alerts, notices, marks and what could not be read on
   * its topics.
   * Set-up versions and the rights of phones stay, which only name it.
   */
  forgetTub(tub: string): Promise<void>;
  /** The newest readings of each point of a tub, at most `count` of each. */
  recent(tub: string, count: number): Promise<Map<string, Trace>>;
  /** The times of the oldest and the newest reading of a tub, or null where there is none. */
  span(tub: string): Promise<{ from: number; to: number } | null>;

  /**
   * Readings with from ≤ t < to, and for each point the nearest one before `from`, as far as it lies
   * within `nearestMs(point)`. Points without any are absent.
   */
  traces(
    tub: string,
    points: readonly string[],
    from: number,
    to: number,
    nearestMs?: (point: string) => number,
  ): Promise<Map<string, Trace>>;
  /** The points of a tub that were ever heard. */
  points(tub: string): Promise<string[]>;
  /** Readings in the order (t, point), at most `limit`, after the place `after` of the last page. */
  page(
    tub: string,
    points: readonly string[],
    from: number,
    to: number,
    limit: number,
    after?: PagePlace,
  ): Promise<Reading[]>;
  /**
   * Count, smallest, sum and greatest of the readings with from ≤ t < to, per bucket of `bucketMs`
   * from `from`, which need be no whole number; empty buckets are absent.
   */
  buckets(
    tub: string,
    point: string,
    from: number,
    to: number,
    bucketMs: number,
  ): Promise<Bucket[]>;

  /**
   * Marks of what is to be worked out again, oldest first. What changes later gets other marks, or
   * grows one of these so that `putLedger` no longer takes it away.
   */
  dirty(): Promise<DirtyMark[]>;
  markDirty(tub: string, from: number, to: number): Promise<void>;
  /**
   * Writes ledger rows in place of all within the span and of those of the same quarters, and takes
   * the marks away, at once. Of a tub that was forgotten meanwhile nothing is written.
   */
  putLedger(
    tub: string,
    rows: readonly Quarter[],
    span: { from: number; to: number },
    done: readonly DirtyMark[],
  ): Promise<void>;
  /** Ledger rows of quarters with from ≤ quarter < to, in order. */
  ledger(tub: string, from: number, to: number): Promise<Quarter[]>;

  /** What was worked out of a tub's whole days, in order. */
  days(tub: string): Promise<DayFigures[]>;
  /**
   * Writes days (replacing those of the same dates) and takes marks away, at once. Of a tub that was
   * forgotten meanwhile nothing is written.
   */
  putDays(tub: string, days: readonly DayFigures[], done: readonly DirtyMark[]): Promise<void>;
  /** Forgets the days of a tub, whose dates are no longer its own. */
  clearDays(tub: string): Promise<void>;

  /** Alerts of a tub, the newest raised first; `open`: those alone that stand. */
  alerts(tub: string, open: boolean): Promise<KeptAlert[]>;
  /** One of them; null where there is none of that id. */
  alert(tub: string, id: string): Promise<KeptAlert | null>;
  /** Those that stand, and those that ended at `since` or later [ms]. */
  alertsSince(tub: string, since: number): Promise<KeptAlert[]>;
  /** Writes that an alert was seen, unless it was before. */
  acknowledge(tub: string, id: string, at: number): Promise<void>;
  /** Writes that an alert that stands is no fault. */
  dismiss(tub: string, id: string, at: number): Promise<void>;
  /** What people want to hear nothing of for a while. */
  shelves(tub: string): Promise<Shelf[]>;
  shelve(tub: string, shelf: Shelf): Promise<void>;
  /** What rules kept of a tub's days, in order, up to when minutes were judged, and how they were left. */
  rounds(tub: string): Promise<{ days: DayFacts[]; to: number | null; left: RoundsLeft | null }>;
  /**
   * Writes at once what going round brought: alerts (of one that is known already what may change: not
   * that it was seen, unless it grew worse since), days and how far rounds came. Of a tub that was
   * forgotten meanwhile nothing.
   */
  putRounds(tub: string, kept: RoundsKept): Promise<void>;

  /** Keeps a notice that is to be sent; null for a tub that was forgotten meanwhile. */
  addNotice(notice: NewNotice): Promise<Notice | null>;
  /** What was told of a tub's alerts, oldest first. */
  told(tub: string): Promise<ToldNotice[]>;
  /** Notices that are to be sent by an instant, the longest due first. */
  dueNotices(at: number): Promise<Notice[]>;
  noticeTried(id: number, tried: Tried): Promise<void>;
  /** Takes a notice back. */
  dropNotice(id: number): Promise<void>;
  /** Drops notices made before an instant, but those that wait, and those of alerts that stand. */
  dropNotices(before: number): Promise<void>;
  channelRecord(channel: ChannelName): Promise<ChannelRecord>;
  /** Where phones get their notices; each goes with its phone. */
  subscriptions(): Promise<Subscription[]>;
  /**
   * Puts a phone's subscription in place of its old one, and of another phone's at the same endpoint;
   * false where there is no such phone.
   */
  subscribe(subscription: Subscription): Promise<boolean>;
  /** Takes a phone's subscription away, and what was to be told by it; false where there is none. */
  unsubscribe(phone: string): Promise<boolean>;

  setupVersions(): Promise<SetupVersion[]>;
  /**
   * Adds a version and marks what it changes, at once; `ifNewest` is the id that must still be the
   * newest, or the call is refused.
   */
  addSetup(
    version: { from: number; setup: Setup; madeAt: number },
    ifNewest?: number | null,
    changes?: readonly Change[],
  ): Promise<SetupVersion>;

  /** The owner's log of a tub, the newest of what it tells first. */
  logEntries(tub: string): Promise<LogEntry[]>;
  /** Adds an entry and marks what it changes, at once. */
  addLogEntry(
    tub: string,
    entry: LogEntry,
    madeAt: number,
    changes?: readonly Change[],
  ): Promise<void>;
  /** Removes an entry and marks what that changes, at once; false where there is none. */
  removeLogEntry(tub: string, id: string, changes?: readonly Change[]): Promise<boolean>;

  unreadable(): Promise<UnreadableKind[]>;

  phones(): Promise<Phone[]>;
  addPhone(phone: Omit<Phone, 'seenAt'>, cookieHash: string): Promise<void>;
  phoneByCookie(cookieHash: string): Promise<Phone | null>;
  phoneSeen(id: string, at: number): Promise<void>;
  renamePhone(id: string, name: string): Promise<void>;
  removePhone(id: string): Promise<boolean>;
  addLink(link: PairingLink, codeHash: string): Promise<void>;
  links(): Promise<PairingLink[]>;
  /** Takes a link by its code's hash, once; null when there is none (any more). */
  takeLink(codeHash: string, at: number): Promise<PairingLink | null>;
  removeLink(id: string): Promise<boolean>;

  /** Small values that outlive a restart, such as the newest arrival. */
  note(key: string): Promise<string | null>;
  putNote(key: string, value: string): Promise<void>;

  /** A number that changes when another process has written to the store. */
  outsideChange(): Promise<number>;
  /** Size of the store on disk, its log included [bytes]. */
  size(): Promise<number>;
  /** Whether anything that was asked of it has met damage; that mends only in a restored store. */
  isDamaged(): Promise<boolean>;
  /** Bytes by which it grows a day, should readings come as in the 24 hours before `t` [ms]. */
  growth(t: number): Promise<number>;
  close(): Promise<void>;
}

/** What one batch of messages brought. */
export interface Arrivals {
  readings: readonly Reading[];
  unreadable: readonly Unreadable[];
  /** When they arrived [ms since 1970-01-01 UTC]. */
  at: number;
}

export interface Unreadable {
  topic: string;
  /** First 200 bytes of the payload, as escaped text. */
  payload: string;
  why: string;
}

export interface UnreadableKind extends Unreadable {
  count: number;
  first: number;
  last: number;
}

export interface TubHeard {
  tub: string;
  /** Arrival of the newest reading. */
  arrivedAt: number;
}

export interface PagePlace {
  t: number;
  point: string;
}

export interface Bucket {
  from: number;
  count: number;
  min: number;
  sum: number;
  max: number;
}

/** What is known of a tub between from and to, both included, changed. */
export interface Change {
  tub: string;
  from: number;
  to: number;
}

/** Readings of one point (null: everything of the tub) changed. */
export interface DirtyMark extends Change {
  id: number;
  /** How often it grew; a mark that grew since it was read is not taken away. */
  touched: number;
  point: string | null;
}

/** An alert, and what people did with it. */
export interface KeptAlert extends AlertRecord {
  acknowledgedAt: number | null;
  /** When somebody said that it is no fault: it is told no longer, though its rule still sees it. */
  dismissedAt: number | null;
}

/** A fault, about a point where it is about one, that nobody wants to hear of until then. */
export interface Shelf {
  fault: FaultId;
  point: string | null;
  until: number;
}

export type ChannelName = 'push' | 'mail' | 'webhook';

/** What somebody is to be told, or was. */
export interface NewNotice {
  tub: string;
  channel: ChannelName;
  /** Whom of the channel: a phone's id, or the house. */
  target: string;
  about: readonly About[];
  message: Message;
  madeAt: number;
}

export interface Notice extends NewNotice {
  /** No other one ever has it. */
  id: number;
  tries: number;
}

export interface ToldNotice extends Omit<NewNotice, 'message'> {
  id: number;
  came: Told['came'];
}

/** What came of trying to send a notice at an instant. */
export interface Tried {
  at: number;
  /** When it is tried again; null: never. */
  due: number | null;
  sentAt: number | null;
  /** What went wrong, in a sentence without secrets. */
  trouble: string | null;
}

export interface ChannelRecord {
  sentAt: number | null;
  /** How many notices wait. */
  waiting: number;
  /** Of the last try; null where all went well. */
  trouble: string | null;
}

/** Where a phone gets its notices (RFC 8030, keys of RFC 8291 in base64url), and how it wants them. */
export interface Subscription {
  phone: string;
  endpoint: string;
  p256dh: string;
  auth: string;
  wishes: PhoneWishes;
}

export interface RoundsKept {
  alerts: readonly AlertRecord[];
  /** The set-up version that new alerts were raised under. */
  setupId: number | null;
  days: readonly DayFacts[];
  /** Up to when minutes were judged. */
  to: number;
  /** Days before this date are no longer needed; null: all are. */
  dropBefore: string | null;
  left?: RoundsLeft;
}

/** With what rounds go on where they were left. */
export interface RoundsLeft {
  /** How faults showed themselves then, by key. */
  showing: readonly (readonly [key: string, Showing])[];
  /** From where the past is still to be gone through again; null: from nowhere [ms]. */
  again: number | null;
}

export interface SetupVersion {
  id: number;
  /** The instant from which it holds; −Infinity for always. */
  from: number;
  madeAt: number;
  setup: Setup;
}

export type Right = 'full' | 'viewer';

export interface Phone {
  id: string;
  name: string;
  right: Right;
  /** The tubs it may see; null for all. */
  tubs: string[] | null;
  /** When its right ends; null for never. */
  until: number | null;
  pairedAt: number;
  seenAt: number | null;
}

export interface PairingLink {
  id: string;
  right: Right;
  tubs: string[] | null;
  until: number | null;
  /** When the code can no longer be redeemed. */
  expires: number;
}
