import { addDays, instantOf, localDate, minuteOfDay } from '../civil-time.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { FaultId } from '../rules/fault-id.ts';
import type { Severity } from '../shapes.ts';
import type { Manner } from '../words/speaker.ts';

/** Why something is told of an alert: it is there, still there, worse, or over. */
export type NoticeKind = 'raised' | 'again' | 'worse' | 'over';

/** What telling has to know of an alert; instants [ms]. */
export interface Tellable {
  fault: FaultId;
  severity: Severity;
  raisedAt: number;
  /** null while it stands. */
  until: number | null;
  acknowledgedAt: number | null;
  shelvedUntil: number | null;
  /** Its end is no good news: another fault explains it, it came again, or it was called no fault. */
  endsQuietly: boolean;
}

/** One thing that was told of an alert to somebody. */
export interface Told {
  kind: NoticeKind;
  severity: Severity;
  at: number; // ms
  /** Whether it reached them; `waits`: not yet, and it is tried again. */
  came: 'yes' | 'waits' | 'no';
}

/** How somebody wants to be told. */
export interface Wishes {
  /** Local times HH:MM between which nothing but danger sounds; the same twice: there are none. */
  quiet: { from: string; to: string };
  /** What is less than this is not told at all; notes are told to nobody. */
  least: Exclude<Severity, 'note'>;
  /** Whether what is to be done today may sound in the quiet hours too. */
  actAtNight: boolean;
}

/** The wishes of one phone; without quiet hours of its own it keeps the house's. */
export interface PhoneWishes extends Omit<Wishes, 'quiet'> {
  quiet: Wishes['quiet'] | null;
  /** How its owner likes figures; left out: as the service says them. */
  manner?: PhoneManner | undefined;
}

/** Language and units of one phone; hours are told by the tub's own clock. */
export type PhoneManner = Omit<Manner, 'timeZone'>;

export const usualWishes: Wishes = {
  quiet: { from: '22:00', to: '07:00' },
  least: 'look',
  actAtNight: false,
};

/** Somebody who is told of a tub's alerts, and what they heard of that tub since their last quiet hours. */
export interface Listener {
  wishes: Wishes;
  timeZone: string;
  /** When they last were told of what can wait; null: never [ms]. */
  lookedAt: number | null;
  /** How many notices they were given since their quiet hours ended, those of danger left out. */
  heardToday: number;
}

/** Danger is told again until somebody has seen it. [ms] */
const DANGER_AGAIN_MS = 30 * MINUTE;
/** A frost lasts the whole night, and does its harm once: it is told less often. [ms] */
const FROST_AGAIN_MS = 2 * HOUR;
/** What was told so shortly before the morning is not told again in it. [ms] */
const SOON_MS = 4 * HOUR;
/** More notices than these a day make people give up; what is new to be done today does not count on it. */
const MOST_A_DAY = 2;

const rank: Record<Severity, number> = { note: 0, look: 1, act: 2, danger: 3 };

export const isAtLeast = (severity: Severity, least: Severity): boolean =>
  rank[severity] >= rank[least];

/**
 * What somebody is to be told of an alert now; null for nothing.
 *
 * @param told  what they were told of it before, oldest first, and lately of the same fault elsewhen
 */
export function toTell(
  alert: Tellable,
  told: readonly Told[],
  listener: Listener,
  now: number,
): NoticeKind | null {
  if (alert.shelvedUntil !== null && alert.shelvedUntil > now) return null;
  if (alert.until !== null) return tellsEnd(alert, told, listener, now) ? 'over' : null;
  const { severity } = alert;
  if (!isAtLeast(severity, listener.wishes.least)) return null;
  const kind = kindOf(alert, told);
  if (kind === 'again') return tellsAgain(alert, told, listener, now) ? kind : null;
  if (severity === 'look') return kind === 'raised' && looksNow(alert, listener, now) ? kind : null;
  return mayInterrupt(alert, listener, now) ? kind : null;
}

/** What a program is told of an alert, at any hour: each beginning, each turn to the worse, each end. */
export function toTellProgram(alert: Tellable, told: readonly Told[]): NoticeKind | null {
  if (alert.until === null) {
    const kind = kindOf(alert, told);
    return kind === 'again' ? null : kind;
  }
  return told.length > 0 && !told.some(({ kind }) => kind === 'over') ? 'over' : null;
}

/** Whether a clock on the wall stands within somebody's quiet hours. */
export function isQuiet(now: number, { quiet }: Wishes, timeZone: string): boolean {
  const [from, to] = [minutesOf(quiet.from), minutesOf(quiet.to)];
  const minute = minuteOfDay(now, timeZone);
  return from <= to ? from <= minute && minute < to : minute >= from || minute < to;
}

/** When somebody's quiet hours last ended, at or before an instant [ms]. */
export function quietEnd(now: number, { quiet }: Wishes, timeZone: string): number {
  const today = localDate(now, timeZone);
  const end = instantOf(today, quiet.to, timeZone);
  return end <= now ? end : instantOf(addDays(today, -1), quiet.to, timeZone);
}

function kindOf({ severity }: Tellable, told: readonly Told[]): 'raised' | 'worse' | 'again' {
  if (told.length === 0 || told.at(-1)!.kind === 'over') return 'raised';
  return told.every((one) => rank[one.severity] < rank[severity]) ? 'worse' : 'again';
}

/** Danger at any hour, and water that is too hot to bathe in; the rest not in the quiet hours. */
function mayInterrupt(
  { fault, severity }: Tellable,
  { wishes, timeZone }: Listener,
  now: number,
): boolean {
  if (severity === 'danger' || fault === 'water-too-hot') return true;
  return (wishes.actAtNight && severity === 'act') || !isQuiet(now, wishes, timeZone);
}

/** What can wait is told once a day, when the quiet hours are over: what was there by then. */
function looksNow({ raisedAt, acknowledgedAt }: Tellable, listener: Listener, now: number) {
  const { wishes, timeZone, lookedAt, heardToday } = listener;
  const end = quietEnd(now, wishes, timeZone);
  if (acknowledgedAt !== null || heardToday >= MOST_A_DAY || raisedAt > end) return false;
  return !isQuiet(now, wishes, timeZone) && (lookedAt === null || lookedAt < end);
}

function tellsAgain(
  alert: Tellable,
  told: readonly Told[],
  listener: Listener,
  now: number,
): boolean {
  const last = told.at(-1)!;
  if (alert.acknowledgedAt !== null || last.came === 'waits') return false;
  if (alert.severity === 'danger') {
    return now - last.at >= (alert.fault === 'freeze-danger' ? FROST_AGAIN_MS : DANGER_AGAIN_MS);
  }
  if (alert.severity !== 'act' || told.some(({ kind }) => kind === 'again')) return false;
  const { wishes, timeZone, heardToday } = listener;
  const morning = quietEnd(now, wishes, timeZone);
  if (morning < last.at + SOON_MS) return false;
  return heardToday < MOST_A_DAY && !isQuiet(now, wishes, timeZone);
}

/** Good news reaches those who had the bad, once, and wakes nobody. */
function tellsEnd(
  alert: Tellable,
  told: readonly Told[],
  { wishes, timeZone, heardToday }: Listener,
  now: number,
): boolean {
  if (alert.endsQuietly || heardToday >= MOST_A_DAY || isQuiet(now, wishes, timeZone)) return false;
  const reached = told.filter(({ came }) => came === 'yes');
  return (
    reached.some(({ severity }) => isAtLeast(severity, 'act')) &&
    !told.some(({ kind }) => kind === 'over')
  );
}

const minutesOf = (time: string): number => Number(time.slice(0, 2)) * 60 + Number(time.slice(3));
