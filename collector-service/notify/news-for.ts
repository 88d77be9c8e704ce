import { isOf, keyOf } from '../../model/alerts/alert-life.ts';
import {
  isAtLeast,
  type Listener,
  quietEnd,
  type Tellable,
  type Told,
  toTell,
  toTellProgram,
  type Wishes,
} from '../../model/alerts/telling.ts';
import { HOUR } from '../../model/readings.ts';
import { rules } from '../../model/rules/rules.ts';
import type { TubSetup } from '../../model/setup.ts';
import type { KeptAlert, Shelf, ToldNotice } from '../store/store.ts';
import type { ToWrite } from './writer.ts';

/** What is known of a tub: alerts that stand or ended lately, and what nobody wants to hear of. */
export interface Known {
  tub: TubSetup;
  alerts: readonly KeptAlert[];
  shelves: readonly Shelf[];
}

/**
 * What somebody is to hear of a tub now, each part a notice of its own; and which notices that have not
 * reached them yet are no longer worth it.
 *
 * @param wishes  null: a program, which is told everything at once
 * @param heard  what they were told of the tub before, oldest first
 */
export function newsFor(
  wishes: Wishes | null,
  { tub, alerts, shelves }: Known,
  heard: readonly ToldNotice[],
  now: number,
): { due: ToWrite[][]; stale: number[] } {
  const { timeZone } = tub.place;
  const listener = wishes && listenerOf({ wishes, timeZone }, heard, now);
  const seen = alerts.map((alert) => {
    const shelvedUntil = shelvedUntilOf(alert, shelves, now);
    return { alert, shelvedUntil, tellable: tellableOf(alert, alerts, shelvedUntil) };
  });
  const due = seen.flatMap(({ alert, shelvedUntil, tellable }): ToWrite[] => {
    const kind = listener
      ? toTell(tellable, toldOf(sameAs(alert, alerts, now), heard), listener, now)
      : toTellProgram(tellable, toldOf([alert.id], heard));
    return kind === null ? [] : [{ kind, alert, shelvedUntil }];
  });
  if (!listener) return { due: due.map((one) => [one]), stale: [] };
  const silent = seen.filter(({ tellable: { until }, shelvedUntil }) => until ?? shelvedUntil);
  return {
    due: gathered(due),
    stale: staleOf(heard, new Set(silent.map(({ alert }) => alert.id))),
  };
}

/** What waits and tells of nothing but alerts that are over, or that nobody wants to hear of. */
const staleOf = (heard: readonly ToldNotice[], silent: ReadonlySet<string>): number[] =>
  heard
    .filter(({ came, about }) => {
      return (
        came === 'waits' && about.every(({ alert, kind }) => kind !== 'over' && silent.has(alert))
      );
    })
    .map(({ id }) => id);

const endOf = ({ until, dismissedAt }: Pick<KeptAlert, 'until' | 'dismissedAt'>): number | null =>
  dismissedAt ?? until;

function tellableOf(
  alert: KeptAlert,
  others: readonly KeptAlert[],
  shelvedUntil: number | null,
): Tellable {
  const { fault, severity, raisedAt, acknowledgedAt } = alert;
  const endsQuietly = alert.dismissedAt !== null || isExplained(alert, others);
  return {
    ...{ fault, severity, raisedAt, acknowledgedAt },
    until: endOf(alert),
    shelvedUntil,
    endsQuietly,
  };
}

const mutedBy = new Map(rules.map((rule) => [rule.fault, rule.mutedBy]));

/** Whether an alert ended since another fault explains it, or has come back since. */
function isExplained(alert: KeptAlert, others: readonly KeptAlert[]): boolean {
  const parents = mutedBy.get(alert.fault) ?? [];
  return others.some(
    (other) =>
      (parents.some((parent) => isOf(keyOf(other.fault, other.point), parent)) &&
        other.raisedAt === alert.until) ||
      (other.id !== alert.id &&
        other.fault === alert.fault &&
        other.point === alert.point &&
        other.until === null),
  );
}

function shelvedUntilOf(
  { fault, point }: KeptAlert,
  shelves: readonly Shelf[],
  now: number,
): number | null {
  const shelf = shelves.find((one) => one.fault === fault && one.point === point);
  return shelf && shelf.until > now ? shelf.until : null;
}

/** A fault that comes and goes within so long is one to a person. [ms] */
const ONE_TO_A_PERSON_MS = 24 * HOUR;

/** Ids of an alert and of those that told of the same lately. */
const sameAs = (alert: KeptAlert, all: readonly KeptAlert[], now: number): string[] =>
  all
    .filter(
      ({ fault, point, until }) =>
        fault === alert.fault &&
        point === alert.point &&
        (until === null || until > now - ONE_TO_A_PERSON_MS),
    )
    .map(({ id }) => id);

const toldOf = (ids: readonly string[], heard: readonly ToldNotice[]): Told[] =>
  heard.flatMap(({ about, madeAt, came }) =>
    about
      .filter(({ alert }) => ids.includes(alert))
      .map(({ kind, severity }) => ({ kind, severity, at: madeAt, came })),
  );

function listenerOf(
  person: Pick<Listener, 'wishes' | 'timeZone'>,
  heard: readonly ToldNotice[],
  now: number,
): Listener {
  const today = quietEnd(now, person.wishes, person.timeZone);
  const looks = heard.filter(({ about }) => about.some(({ severity }) => severity === 'look'));
  return {
    ...person,
    lookedAt: looks.at(-1)?.madeAt ?? null,
    heardToday: heard.filter(
      ({ madeAt, about }) =>
        madeAt >= today && !about.some(({ severity }) => isAtLeast(severity, 'danger')),
    ).length,
  };
}

/** Each danger by itself; whatever else is due now as one notice. */
function gathered(due: readonly ToWrite[]): ToWrite[][] {
  const isDanger = ({ kind, alert }: ToWrite) => kind !== 'over' && alert.severity === 'danger';
  const rest = due.filter((one) => !isDanger(one));
  return [...due.filter(isDanger).map((one) => [one]), ...(rest.length > 0 ? [rest] : [])];
}
