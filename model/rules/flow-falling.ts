import { quantile } from '../minutes/usual.ts';
import { type FlowFact, flowDaily, REFERENCE_DAYS, sinceCleaned } from './flow-of-days.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** Shares of the reference. */
const LOOK_BELOW = 0.8;
const ACT_BELOW = 0.6;
const GONE_ABOVE = 0.87;
const NEWEST_DAYS = 3;
const LEAST_REFERENCE_DAYS = 2;
/** Less than this is no flow that falls, but none, or a meter that stands. */
const NO_FLOW = 0.1;
/** So much of what less flow must do to the collectors has to be seen, or it is the meter. */
const WARMER_SHARE = 0.5;
const WARM_DAYS = 5;
/** The better days of some stand for a clear sky. */
const BETTER = 0.75;
/** Without a meter: how much hotter than in their first days the collectors are in good sun. */
const HOTTER = {
  times: 1.4,
  gone: 1.2,
  days: 5,
  referenceDays: 8,
  mostReferenceDays: 20,
  best: 0.8,
};

/** Less and less water goes round: filter, scale, a kink, a pump that tires. */
export const flowFalling: Rule<unknown, unknown, FlowFact> = {
  fault: 'flow-falling',
  severity: 'look',
  onMs: 0,
  offMs: 0,
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
    judge(days, now) {
      const since = sinceCleaned(days, now.settings.owner.filterCleanedAt);
      return since.some(({ fact }) => fact.lPerMin !== null)
        ? byMeter(since, now)
        : byCollectors(since);
    },
  },
};

function byMeter(days: readonly PastDay<FlowFact>[], now: PresentDay): Finding {
  const metered = days.filter(({ fact }) => fact.lPerMin !== null);
  const newest = metered.slice(-NEWEST_DAYS);
  const first = metered.slice(0, -NEWEST_DAYS).slice(0, REFERENCE_DAYS);
  if (first.length < LEAST_REFERENCE_DAYS || newest.at(-1)!.date !== now.date) return 'between';
  const usualLPerMin = middle(first.map(({ fact }) => fact.lPerMin!));
  const shares = newest.map(({ fact }) => fact.lPerMin! / usualLPerMin);
  const share = shares.at(-1)!;
  if (!(share > NO_FLOW)) return 'between';
  if (share > GONE_ABOVE) return 'gone';
  const most = Math.max(...shares);
  if (most >= LOOK_BELOW || !isWarmer(days, first.at(-1)!.to, share)) return 'between';
  return {
    severity: most < ACT_BELOW ? 'act' : 'look',
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
function byCollectors(days: readonly PastDay<FlowFact>[]): Finding {
  const sunny = days.filter(({ fact }) => fact.kPerSun !== null);
  const newest = sunny.slice(-HOTTER.days);
  const first = sunny.slice(0, -HOTTER.days).slice(0, HOTTER.mostReferenceDays);
  if (first.length < HOTTER.referenceDays) return 'blind';
  const usual = quantile(
    first.map(({ fact }) => fact.kPerSun!),
    HOTTER.best,
  );
  const times = middle(newest.map(({ fact }) => fact.kPerSun!)) / usual;
  if (times < HOTTER.gone) return 'gone';
  if (times < HOTTER.times) return 'between';
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
