import { pointsOf } from '../rules/points-of.ts';
import type { Alert } from '../shapes.ts';
import type { AllFaultWords, ToldFault } from '../words/fault-words.ts';
import type { Speaker } from '../words/speaker.ts';
import type { PointWords } from '../words/words.ts';
import type { AlertRecord } from './alert-life.ts';

/** What people did with an alert; instants [ms]. */
export interface Handled {
  acknowledgedAt: number | null;
  /** When somebody said that it is no fault: with that it is over. */
  dismissedAt: number | null;
  shelvedUntil: number | null;
}

export const notHandled: Handled = {
  acknowledgedAt: null,
  dismissedAt: null,
  shelvedUntil: null,
};

/** An alert as it is told. */
export function toldAlert(
  tub: string,
  alert: AlertRecord,
  { acknowledgedAt, dismissedAt, shelvedUntil }: Handled,
  words: { faults: AllFaultWords; points: PointWords },
  say: Speaker,
): Alert {
  const { fault, point } = alert;
  const said = words.faults[fault];
  const about: ToldFault = {
    evidence: alert.evidence,
    point: point === null ? null : words.points.name(point),
  };
  return {
    id: alert.id,
    tub,
    fault,
    severity: alert.severity,
    ...(point === null ? { points: pointsOf(fault) } : { point }),
    since: iso(alert.since),
    raisedAt: iso(alert.raisedAt),
    until: maybe(dismissedAt ?? alert.until),
    unknownSince: maybe(alert.unknownSince),
    acknowledgedAt: maybe(acknowledgedAt),
    shelvedUntil: maybe(shelvedUntil),
    costKwh: alert.costKwh,
    says: said.says(about, say),
    shows: said.shows(about, say),
    evidence: alert.evidence,
    checks: [...said.checks],
    ...(said.caution === undefined ? {} : { caution: said.caution }),
  };
}

const iso = (t: number): string => new Date(t).toISOString();
const maybe = (t: number | null): string | null => (t === null ? null : iso(t));
