import { quantile } from '../minutes/usual.ts';
import { type FlowFact, flowDaily, REFERENCE_DAYS, sinceCleaned } from './flow-of-days.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

const LIMITS = {
  /** Shares of the reference. */
  lookBelow: 0.8,
  actBelow: 0.6,
  goneAbove: 0.87,
  /** Without a meter: how many times as far above the tub as in their first days collectors stand in sun. */
  hotterTimes: 1.4,
  goneBelowTimes: 1.2,
};
type Limits = typeof LIMITS;
const NEWEST_DAYS = 3;
const LEAST_REFERENCE_DAYS = 2;
/** Less than this is no flow that falls, but none, or a meter that stands. */
const NO_FLOW = 0.1;
/** So much of what less flow must do to the collectors has to be seen, or it is the meter. */
const WARMER_SHARE = 0.5;
const WARM_DAYS = 5;
/** The better days of some stand for a clear sky. */
const BETTER = 0.75;
/** Days that are compared without a meter. */
const HOTTER = {
  days: 5,
  referenceDays: 8,
  mostReferenceDays: 20,
  best: 0.8,
};

/** Less and less water goes round: filter, scale, a kink, a pump that tires. */
export const flowFalling: Rule<unknown, unknown, FlowFact, Limits> = {
  fault: 'flow-falling',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [
    ['actBelow', 'lookBelow', 'goneAbove'],
    ['goneBelowTimes', 'hotterTimes'],
  ],
  needs: [['tub/temperature'], ['collector/temperature'], ['pump/running', 'pump/power']],
  uses: ['pump/flow', 'pump/volume', 'collector/irradiance'],
  mutedBy: [
    'running-without-flow',
    'flow-sensor-at-zero',
    'flow-sensor-drifting',
    'pump-power-low',
    'pump-power-high',
    'tub-sensor-out-of-water',
    'collector-sensor-loose',
    'to-and-from-swapped',
  ],
  daily: {
    ...flowDaily,
    judge(days, now, limits) {
      const since = sinceCleaned(days, now.settings.owner.filterCleanedAt);
      return since.some(({ fact }) => fact.lPerMin !== null)
        ? byMeter(since, now, limits)
        : byCollectors(since, limits);
    },
  },
};

function byMeter(
  days: readonly PastDay<FlowFact>[],
  now: PresentDay,
  { lookBelow, actBelow, goneAbove }: Limits,
): Finding {
  const metered = days.filter(({ fact }) => fact.lPerMin !== null);
  const newest = metered.slice(-NEWEST_DAYS);
  const first = metered.slice(0, -NEWEST_DAYS).slice(0, REFERENCE_DAYS);
  if (first.length < LEAST_REFERENCE_DAYS || newest.at(-1)!.date !== now.date) return 'between';
  const usualLPerMin = middle(first.map(({ fact }) => fact.lPerMin!));
  const shares = newest.map(({ fact }) => fact.lPerMin! / usualLPerMin);
  const share = shares.at(-1)!;
  if (!(share > NO_FLOW)) return 'between';
  if (share > goneAbove) return 'gone';
  const most = Math.max(...shares);
  if (most >= lookBelow || !isWarmer(days, first.at(-1)!.to, share)) return 'between';
  return {
    severity: most < actBelow ? 'act' : 'look',
    since: newest[0]!.from,
    evidence: {
      lPerMin: newest.at(-1)!.fact.lPerMin,
      usualLPerMin,
      share,
      days: newest.length,
      differenceK: newest.at(-1)!.fact.differenceK,
    },
  };
}

/** Whether the collectors too tell that less water takes their heat away. */
function isWarmer(days: readonly PastDay<FlowFact>[], until: number, share: number): boolean {
  const sunny = days.filter(({ fact }) => fact.kPerSun !== null);
  const before = sunny.filter(({ to }) => to <= until).map(({ fact }) => fact.kPerSun!);
  const newest = sunny.filter(({ to }) => to > until).map(({ fact }) => fact.kPerSun!);
  if (before.length < LEAST_REFERENCE_DAYS || newest.length === 0) return false;
  const times = quantile(newest.slice(-WARM_DAYS), BETTER) / quantile(before, BETTER);
  return times >= 1 + WARMER_SHARE * (1 / share - 1);
}

/** Without a meter only much less water shows, as collectors that are hotter in the same sun. */
function byCollectors(days: readonly PastDay<FlowFact>[], limits: Limits): Finding {
  const sunny = days.filter(({ fact }) => fact.kPerSun !== null);
  const newest = sunny.slice(-HOTTER.days);
  const first = sunny.slice(0, -HOTTER.days).slice(0, HOTTER.mostReferenceDays);
  if (first.length < HOTTER.referenceDays) return 'blind';
  const usual = quantile(
    first.map(({ fact }) => fact.kPerSun!),
    HOTTER.best,
  );
  const times = middle(newest.map(({ fact }) => fact.kPerSun!)) / usual;
  if (times < limits.goneBelowTimes) return 'gone';
  if (times < limits.hotterTimes) return 'between';
  return {
    since: newest[0]!.from,
    evidence: {
      differenceK: middle(newest.map(({ fact }) => fact.differenceK!)),
      usualDifferenceK: middle(first.map(({ fact }) => fact.differenceK!)),
      timesUsual: times,
      days: newest.length,
    },
  };
}

const middle = (values: readonly number[]): number => quantile(values, 0.5);
