import type { AlertChange, AlertRecord } from '../../model/alerts/alert-life.ts';
import { type DayFacts, Rounds } from '../../model/alerts/rounds.ts';
import { type Evidence, evidenceOf, nightBefore } from '../../model/evidence.ts';
import { LEARNS_FROM, learnedFrom } from '../../model/learned.ts';
import { type Quarter, workOut } from '../../model/ledger.ts';
import type { Outside } from '../../model/minutes/minute.ts';
import { nightsWithin } from '../../model/night.ts';
import { HOUR } from '../../model/readings.ts';
import type { AnyRule } from '../../model/rules/rule.ts';
import { rules as allRules } from '../../model/rules/rules.ts';
import type { LoopDays } from './loop-days.ts';

export interface GoRoundOptions {
  rules?: readonly AnyRule[];
  /** Rounds begin anew at `from`, after a warm-up over the hours before it. */
  from?: number;
  to?: number;
  days?: readonly DayFacts[];
  standing?: readonly AlertRecord[];
  outside?: (t: number) => Outside;
  /** How far rounds go at once, where what stands outside changes. [ms] */
  sliceMs?: number;
}

export interface WentRound {
  changes: AlertChange[];
  raised: AlertRecord[];
  rounds: Rounds;
  days: DayFacts[];
}

/** Goes round made-up days as a replay does; every day that is over is judged. */
export function goRound(made: LoopDays, options: GoRoundOptions = {}): WentRound {
  const { rules = allRules, from = made.from, to = made.to, sliceMs = HOUR } = options;
  const { traces, versions } = made;
  const begins = options.from === undefined ? from : Math.max(made.from, from - 24 * HOUR);
  const rounds = new Rounds({
    rules,
    versions,
    from: begins,
    ...(options.days ? { days: options.days } : {}),
    ...(options.standing ? { standing: options.standing } : {}),
  });
  if (begins < from) rounds.warmUp(traces, from);
  const quarters = rules.some(({ daily }) => daily)
    ? workOut(versions, traces, made.from, made.to, made.to)
    : [];
  const changes: AlertChange[] = [];
  const days: DayFacts[] = [];
  const evidences: Evidence[] = [];
  for (let t = from; t < to; ) {
    t = Math.min(t + sliceMs, to);
    changes.push(...rounds.advance(traces, t, options.outside?.(t)));
    for (let day = rounds.waiting[0]; day; day = rounds.waiting[0]) {
      const over = closedDay(made, day, quarters);
      evidences.push(over.evidence);
      const learned = learnedFrom(evidences.slice(-LEARNS_FROM.before - 1), over.settings);
      const closed = rounds.closeDay({ ...over, learned });
      days.push(closed.facts);
      changes.push(...closed.changes);
    }
  }
  const raised = changes.flatMap(({ kind, alert }) => (kind === 'raised' ? [alert] : []));
  return { changes, raised, rounds, days };
}

function closedDay(
  made: LoopDays,
  { date, bounds }: Rounds['waiting'][number],
  quarters: readonly Quarter[],
) {
  const { settings, traces } = made;
  const { latitude, longitude } = settings.place;
  const nights = nightsWithin(bounds.from - 12 * HOUR, bounds.to, latitude, longitude);
  const within = (from: number) =>
    quarters.filter((quarter) => quarter.from >= from && quarter.from < bounds.to);
  const around = within(bounds.from - 12 * HOUR);
  const night = nightBefore(bounds, nights);
  const evidence = evidenceOf(date, settings, bounds, nights, around, night ? traces : new Map());
  return { date, bounds, settings, quarters: within(bounds.from), evidence };
}
