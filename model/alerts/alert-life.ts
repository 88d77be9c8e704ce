import { dataFaults, type FaultId } from '../rules/fault-id.ts';
import type { AnyRule, EvidenceFigures, Finding, Parent, Present } from '../rules/rule.ts';
import type { Severity } from '../shapes.ts';

/** One occurrence of one fault, from raised to ended. Times [ms]; plain data. */
export interface AlertRecord {
  /** The same fault of the same tub and point, raised at the same time, has the same id. */
  id: string;
  fault: FaultId;
  point: string | null;
  severity: Severity;
  /** When the fault began as far as the data tell, and when its delay ran out. */
  since: number;
  raisedAt: number;
  /** null while it stands. */
  until: number | null;
  /** Since when the rule cannot see; null while it can. */
  unknownSince: number | null;
  costKwh: number | null;
  evidence: EvidenceFigures;
}

/** How a fault has shown itself lately, before and while an alert stands. Plain data. */
export interface Showing {
  /** Since when it shows itself without a break, or is gone, or cannot be seen. */
  presentSince: number | null;
  goneSince: number | null;
  blindSince: number | null;
  /** Heat that it cost while it showed itself, before and since it was told [kWh]. */
  costKwh: number | null;
}

export type AlertChange =
  | { kind: 'raised'; alert: AlertRecord }
  | { kind: 'ended'; alert: AlertRecord; because: 'gone' | FaultId }
  | { kind: 'worse'; alert: AlertRecord };

const notShown = (): Showing => ({
  presentSince: null,
  goneSince: null,
  blindSince: null,
  costKwh: null,
});

const rank: Record<Severity, number> = { note: 0, look: 1, act: 2, danger: 3 };

/** Whatever showed itself before is over, and with it what it cost. */
function startAnew(showing: Showing): void {
  showing.presentSince = null;
  showing.costKwh = null;
}

/** Key of a rule and what it is about. */
export const keyOf = (fault: FaultId, point: string | null): string =>
  point === null ? fault : `${fault} ${point}`;

/** Whether what goes by a key is what a parent names: a fault, or a fault about a point. */
export const isOf = (key: string, parent: string): boolean =>
  key === parent || (key.startsWith(parent) && key[parent.length] === ' ');

const HOUR = 3_600_000;

/**
 * The life of alerts. Alerts that stand are held here; what a rule finds each minute, or each day, raises
 * and ends them after its delays, and a fault that another one explains is not told beside it.
 */
export class AlertLife {
  /** Standing alerts by key. */
  readonly standing = new Map<string, AlertRecord>();
  showing = new Map<string, Showing>();
  /** Ids of those that somebody called no fault: they stand, so as not to come again, and explain nothing. */
  private readonly dismissed = new Set<string>();
  private readonly children: ReadonlyMap<string, readonly FaultId[]>;

  constructor(rules: readonly AnyRule[], standing: readonly AlertRecord[] = []) {
    const children = new Map<string, FaultId[]>();
    for (const { fault, mutedBy } of rules) {
      for (const parent of mutedBy) children.set(parent, [...(children.get(parent) ?? []), fault]);
    }
    this.children = children;
    for (const alert of standing) this.standing.set(keyOf(alert.fault, alert.point), alert);
  }

  /**
   * Takes in what a rule, about `key`, finds at an instant that is `ms` after the last; adds what changes by it to
   * `changes`. With null in its place nothing is raised or ended: it only gets to know what shows itself.
   */
  take(
    rule: AnyRule,
    point: string | null,
    key: string,
    finding: Finding,
    t: number,
    ms: number,
    changes: AlertChange[] | null,
  ): void {
    const alert = changes ? this.standing.get(key) : undefined;
    if (finding === 'gone' && !alert) {
      // by far the most frequent: nothing there, nothing stands
      this.showing.delete(key);
      return;
    }
    const showing = this.showing.get(key) ?? notShown();
    this.showing.set(key, showing);
    if (finding === 'blind') this.blind(showing, alert, t);
    else if (finding === 'gone') this.gone(rule, showing, alert!, t, changes!);
    else if (finding === 'between') {
      if (!alert) startAnew(showing);
      showing.goneSince = null;
      showing.blindSince = null;
      if (alert) alert.unknownSince = null;
    } else this.present(rule, point, finding, showing, alert, t, ms, changes);
  }

  /** Ends whatever stands about a rule's point that is no longer judged. */
  end(key: string, t: number, because: 'gone' | FaultId, changes: AlertChange[]): void {
    const alert = this.standing.get(key);
    if (!alert) return;
    alert.until = Math.max(alert.since, t);
    alert.unknownSince = null;
    this.standing.delete(key);
    this.showing.delete(key);
    changes.push({ kind: 'ended', alert, because });
  }

  /** Takes it that somebody called an alert no fault, until it grows worse. */
  dismiss(id: string): void {
    this.dismissed.add(id);
  }

  /** Takes it that nothing could be seen from `t` on, whatever showed itself until then. */
  loseSight(t: number): void {
    for (const [key, showing] of this.showing) this.blind(showing, this.standing.get(key), t);
    for (const alert of this.standing.values()) alert.unknownSince ??= t;
  }

  /**
   * Goes back to what showed itself and what stood at an earlier instant, to judge again from there. What was
   * told since goes on standing; what has ended since stands again, unless what stands now explains it.
   */
  goBackTo(showing: Map<string, Showing>, standing: ReadonlyMap<string, AlertRecord>): void {
    this.showing = showing;
    for (const [key, alert] of standing) {
      if (!this.standing.has(key) && !this.isExplained(alert.fault)) this.standing.set(key, alert);
    }
  }

  /** What is told of a rule and what it is about; undefined where nothing is. */
  told(key: string): AlertRecord | undefined {
    const alert = this.standing.get(key);
    return alert && !this.dismissed.has(alert.id) ? alert : undefined;
  }

  /** Whether it stands. */
  isStanding(parent: Parent): boolean {
    for (const [key, alert] of this.standing) {
      if (isOf(key, parent) && !this.dismissed.has(alert.id)) return true;
    }
    return false;
  }

  /** Whether it stands, or has begun to show itself and will soon be told. */
  isOn(parent: Parent): boolean {
    if (this.isStanding(parent)) return true;
    for (const [key, { presentSince }] of this.showing) {
      if (presentSince === null || !isOf(key, parent)) continue;
      if (!this.standing.has(key)) return true;
    }
    return false;
  }

  private isExplained(fault: FaultId): boolean {
    for (const [parent, children] of this.children) {
      if (children.includes(fault) && this.isStanding(parent as Parent)) return true;
    }
    return false;
  }

  private blind(showing: Showing, alert: AlertRecord | undefined, t: number): void {
    if (alert) showing.presentSince = null;
    else startAnew(showing);
    showing.goneSince = null;
    showing.blindSince ??= t;
    if (alert) alert.unknownSince ??= showing.blindSince;
  }

  private gone(
    rule: AnyRule,
    showing: Showing,
    alert: AlertRecord,
    t: number,
    changes: AlertChange[],
  ): void {
    showing.presentSince = null;
    showing.blindSince = null;
    alert.unknownSince = null;
    showing.goneSince ??= t;
    if (t - showing.goneSince < rule.offMs) return;
    this.end(keyOf(alert.fault, alert.point), showing.goneSince, 'gone', changes);
  }

  private present(
    rule: AnyRule,
    point: string | null,
    found: Present,
    showing: Showing,
    alert: AlertRecord | undefined,
    t: number,
    ms: number,
    changes: AlertChange[] | null,
  ): void {
    showing.goneSince = null;
    showing.blindSince = null;
    showing.presentSince ??= t;
    if (found.costW !== undefined) {
      showing.costKwh = (showing.costKwh ?? 0) + (found.costW * ms) / HOUR / 1000;
    }
    if (!changes) return;
    const severity = found.severity ?? rule.severity;
    const costKwh = found.costKwh ?? showing.costKwh;
    if (alert) {
      alert.unknownSince = null;
      if (costKwh !== null) alert.costKwh = costKwh;
      if (rank[severity] > rank[alert.severity]) {
        alert.severity = severity;
        this.dismissed.delete(alert.id);
        alert.evidence = found.evidence;
        changes.push({ kind: 'worse', alert });
      }
      return;
    }
    if (t - showing.presentSince < rule.onMs) return;
    if (rule.mutedBy.some((parent) => this.isOn(parent))) return;
    const raised: AlertRecord = {
      id: idOf(rule.fault, point, t),
      fault: rule.fault,
      point,
      severity,
      since: Math.min(showing.presentSince, found.since ?? showing.presentSince),
      raisedAt: t,
      until: null,
      unknownSince: null,
      costKwh,
      evidence: found.evidence,
    };
    this.standing.set(keyOf(rule.fault, point), raised);
    changes.push({ kind: 'raised', alert: raised });
    for (const [parent, children] of this.children) {
      if (!isOf(keyOf(rule.fault, point), parent)) continue;
      for (const child of children) this.mute(child, rule.fault, t, changes);
    }
  }

  /**
   * What a fault that has just been told explains is told no longer. A silent board explains nothing of
   * the loop: what stands there goes on, as unknown.
   */
  private mute(child: FaultId, parent: FaultId, t: number, changes: AlertChange[]): void {
    const isBlinded = dataFaults.has(parent) && !silences.has(child);
    for (const [key, alert] of [...this.standing]) {
      if (alert.fault !== child) continue;
      if (isBlinded) alert.unknownSince ??= t;
      else this.end(key, t, parent, changes);
    }
  }
}

/** What a silence that was told first is but a part of. */
const silences: ReadonlySet<FaultId> = new Set(['sensor-silent', 'device-silent']);

const idOf = (fault: FaultId, point: string | null, t: number): string => {
  const when = new Date(t)
    .toISOString()
    .replace(/[-:]|\.000/g, '')
    .toLowerCase();
  return [fault, ...(point === null ? [] : [point.replaceAll('/', '-')]), when].join('-');
};
