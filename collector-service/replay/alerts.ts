import type { AlertChange, AlertRecord } from '../../model/alerts/alert-life.ts';
import { Rounds } from '../../model/alerts/rounds.ts';
import { notHandled, toldAlert } from '../../model/alerts/told-alert.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
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

/**
 * The alerts that would have been told, in the order in which they were raised.
 *
 * @param span  from the first reading to the newest of all tubs: as long time goes on
 */
export async function recordedAlerts(
  tub: string,
  versions: readonly SettingsVersion[],
  traces: Traces,
  worked: WorkedOut,
  span: { from: number; to: number },
): Promise<Alert[]> {
  const rounds = new Rounds({ rules, versions, from: span.from });
  const raised: AlertRecord[] = [];
  const take = (changes: readonly AlertChange[]) => {
    for (const { kind, alert } of changes) if (kind === 'raised') raised.push(alert);
  };
  for (let to = span.from; to < span.to; ) {
    if (rounds.isLongSilent) {
      rounds.skipTo(Math.min(nextAfter(traces, rounds.t), span.to));
      to = Math.max(to, rounds.t);
    }
    to = Math.min(to + SLICE_MS, rounds.dayOverAt > to ? rounds.dayOverAt : span.to, span.to);
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
  }
  const say = plainSpeaker(rounds.settingsAt(span.to).place.timeZone);
  const words = { faults: enFaults, points: en.points };
  return raised.map((alert) => toldAlert(tub, alert, notHandled, words, say));
}

/** When the next reading of any point was; infinite where none was. */
function nextAfter(traces: Traces, t: number): number {
  const next = [...traces.values()].map((trace) => trace.t[firstAtOrAfter(trace.t, t)]);
  return Math.min(...next.map((at) => at ?? Number.POSITIVE_INFINITY));
}

/** Days are judged soon after they are over: this long at the most. [ms] */
const SLICE_MS = HOUR;
