import { type AlertChange, type AlertRecord, keyOf } from '../../model/alerts/alert-life.ts';
import type { Rounds } from '../../model/alerts/rounds.ts';
import type { KeptAlert } from '../store/store.ts';

/** Reconciles what was found in the past with what was told of it then; gives what is new by that. */
export function settled(
  kept: readonly KeptAlert[],
  { life }: Rounds,
  changes: readonly AlertChange[],
): AlertChange[] {
  const found = changes.flatMap(({ kind, alert }) => (kind === 'raised' ? alert : []));
  const added = found.filter((alert) => !kept.some((other) => overlap(alert, other)));
  const news: AlertChange[] = added.map((alert) => ({ kind: 'raised', alert }));
  for (const [key, alert] of [...life.standing]) {
    if (!added.includes(alert)) life.standing.delete(key);
  }
  for (const alert of kept.filter(({ until }) => until === null)) {
    const same = found.filter((other) => overlap(other, alert));
    if (same.length > 0 && same.every(({ until }) => until !== null)) {
      alert.until = Math.max(alert.since, ...same.map(({ until }) => until!));
      alert.unknownSince = null;
      news.push({ kind: 'ended', alert, because: 'gone' });
      continue;
    }
    life.standing.set(keyOf(alert.fault, alert.point), alert);
    if (alert.dismissedAt !== null) life.dismiss(alert.id);
  }
  return news;
}

/** Whether two alerts are about the same, at the same time. */
function overlap(a: AlertRecord, b: KeptAlert): boolean {
  if (a.fault !== b.fault || a.point !== b.point) return false;
  const end = (alert: { until: number | null }) => alert.until ?? Number.POSITIVE_INFINITY;
  return a.since <= end(b) && b.since <= end(a);
}
