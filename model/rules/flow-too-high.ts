import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import { type FlowFact, flowDaily, REFERENCE_DAYS, sinceCleaned } from './flow-of-days.ts';
import { pulseFactor } from './pulse-factor.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

const LIMITS = {
  /** Of the usual flow. */
  times: 1.5,
  goneBelowTimes: 1.3,
  /** What a pump of 13 W can do at the most; a stronger one more. */
  mostLPerMin: 12,
};
type Limits = typeof LIMITS;
const MOST_AT_WATTS = 13;
/** Of the first days the lower ones stand for the flow: a meter that went wrong among them reads high. */
const LOWER = 0.3;
const AVERAGED_MIN = 5;

/** The meter tells more water than the pump can move. */
export const flowTooHigh: Rule<unknown, unknown, FlowFact, Limits> = {
  fault: 'flow-too-high',
  severity: 'look',
  onMs: 10 * MINUTE,
  offMs: 30 * MINUTE,
  limits: LIMITS,
  needs: [
    ['pump/flow', 'pump/volume'],
    ['pump/running', 'pump/power'],
  ],
  uses: ['filter/running'],
  mutedBy: ['flow-while-off'],
  minute(minute, _, __, days, limits): Finding {
    const { states, lPerMin, settings } = minute;
    if (lPerMin === null || states.pumpOn === null) return 'blind';
    if (states.drained) return 'gone';
    const mean = minute.over('lPerMin', AVERAGED_MIN)?.mean;
    if (!states.pumpOn || states.settling || states.filterRun || mean === undefined)
      return 'between';
    const usualLPerMin = usualOf(days, settings.owner.filterCleanedAt);
    const most = mostLPerMin(minute, limits);
    const limit = Math.min(most, limits.times * (usualLPerMin ?? most));
    if (mean <= limit)
      return mean < (limits.goneBelowTimes / limits.times) * limit ? 'gone' : 'between';
    // as in its first days, unless that too was more than the pump can move
    const expected =
      usualLPerMin !== null && usualLPerMin < most ? usualLPerMin : settings.loop.flowLPerMin;
    return {
      evidence: {
        lPerMin: mean,
        usualLPerMin: expected,
        mostLPerMin: most,
        dividedBy: pulseFactor(mean, expected),
      },
    };
  },
  daily: flowDaily,
};

const mostLPerMin = ({ settings }: Minute, limits: Limits): number =>
  Math.max(
    limits.mostLPerMin * Math.max(1, settings.pump.watts / MOST_AT_WATTS),
    settings.said.flowLPerMin ? 2 * settings.loop.flowLPerMin : 0,
  );

function usualOf(days: readonly PastDay<FlowFact>[], cleanedAt: number | null): number | null {
  const flows = sinceCleaned(days, cleanedAt).flatMap(({ fact }) => fact.lPerMin ?? []);
  const first = flows.slice(0, REFERENCE_DAYS).filter((flow) => flow > 0.3);
  return first.length === 0 ? null : quantile(first, LOWER);
}
