import type { AlertChange, AlertRecord } from '../../model/alerts/alert-life.ts';
import { Rounds } from '../../model/alerts/rounds.ts';
import { notHandled, toldAlert } from '../../model/alerts/told-alert.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import { firstAtOrAfter, HOUR, type Traces } from '../../model/readings.ts';
import { rules } from '../../model/rules/rules.ts';
import type { Alert } from '../../model/shapes.ts';
import type { SettingsVersion } from '../../model/tub-settings.ts';
import { en } from '../../model/words/en.ts';
import { enFaults } from '../../model/words/en-faults.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';
import { learnedBy } from '../watch/known-then.ts';

/** What rounds take from the days that were worked out. */
export interface WorkedOut {
  quarters(from: number, to: number): Promise<readonly Quarter[]>;
  figures(date: string): DayFigures | null;
}

/** The alerts that would have been told, in the order in which they were raised. */
export function toldAlerts(
  tub: string,
  judged: readonly Judged[],
  versions: readonly SettingsVersion[],
): Alert[] {
  const say = plainSpeaker(versions.at(-1)!.settings.place.timeZone);
  const words = { faults: enFaults, points: en.points };
  return judged.map((alert) => {
    const at = alert.dismissedAt;
    return toldAlert(
      tub,
      alert,
      { ...notHandled, acknowledgedAt: at, dismissedAt: at },
      words,
      say,
    );
  });
}

/** An alert, and when the owner's log called it no fault [ms]; null where it did not. */
export type Judged = AlertRecord & { dismissedAt: number | null };

/**
 * What rounds find in recorded readings, in the order in which it is raised.
 *
 * @param span  from the first reading to the newest of all tubs: as long time goes on
 * @param log   the owner's: what it calls no fault is over with that
 */
export async function judgedAlerts(
  versions: readonly SettingsVersion[],
  traces: Traces,
  worked: WorkedOut,
  span: { from: number; to: number },
  log: readonly LogEntry[] = [],
): Promise<Judged[]> {
  const rounds = new Rounds({ rules, versions, from: span.from });
  const raised: AlertRecord[] = [];
  const dismissedAt = new Map<AlertRecord, number>();
  const take = (changes: readonly AlertChange[]) => {
    for (const { kind, alert } of changes) {
      if (kind === 'raised') raised.push(alert);
      if (kind === 'worse') dismissedAt.delete(alert);
    }
  };
  const dismissals = log
    .filter(({ kind }) => kind === 'not-a-fault')
    .sort((a, b) => a.from - b.from);
  for (let to = span.from; to < span.to; ) {
    if (rounds.isLongSilent) {
      rounds.skipTo(Math.min(nextAfter(traces, rounds.t), span.to));
      to = Math.max(to, rounds.t);
    }
    const dayOver = rounds.dayOverAt > to ? rounds.dayOverAt : span.to;
    const said = dismissals.find(({ from }) => from > to)?.from ?? span.to;
    to = Math.min(to + SLICE_MS, dayOver, said, span.to);
    take(rounds.advance(traces, to));
    for (let day = rounds.waiting[0]; day; day = rounds.waiting[0]) {
      const { date, bounds } = day;
      const quarters = await worked.quarters(bounds.from, bounds.to);
      const evidence = worked.figures(date)?.evidence ?? null;
      const settings = rounds.settingsAt(bounds.to - 1);
      const learned = learnedBy(date, versions, worked.figures);
      const closed = { date, bounds, settings, quarters, evidence, learned };
      take(rounds.closeDay(closed).changes);
    }
    for (const entry of dismissals) {
      if (entry.from !== to) continue;
      for (const alert of rounds.life.standing.values()) {
        if (!isAbout(entry, alert)) continue;
        rounds.life.dismiss(alert.id);
        dismissedAt.set(alert, to);
      }
    }
  }
  return raised.map((alert) => ({ ...alert, dismissedAt: dismissedAt.get(alert) ?? null }));
}

/** Whether an entry of the log calls this alert no fault: by its id, or by its fault and point. */
const isAbout = ({ data }: LogEntry, { id, fault, point }: AlertRecord): boolean =>
  data?.alert === id || (data?.fault === fault && (data.point ?? null) === point);

/** When the next reading of any point was; infinite where none was. */
function nextAfter(traces: Traces, t: number): number {
  const next = [...traces.values()].map((trace) => trace.t[firstAtOrAfter(trace.t, t)]);
  return Math.min(...next.map((at) => at ?? Number.POSITIVE_INFINITY));
}

/** Days are judged soon after they are over: this long at the most. [ms] */
const SLICE_MS = HOUR;
