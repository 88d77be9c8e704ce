import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
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
const FULL_FLOW_W_PER_M2 = 700;
const AVERAGED_MIN = 5;
const AFTER_START_MIN = 3;
const LASTS_MIN = 10;

interface Memory {
  /** Minutes with too much, of one run or of several. */
  minutes: number;
  /** The first of them [ms]. */
  since: number;
  /** Whether it was lately seen to tell what it should. */
  isFine: boolean;
}

/** The meter tells more water than the pump can move. */
export const flowTooHigh: Rule<Memory, unknown, FlowFact, Limits> = {
  fault: 'flow-too-high',
  severity: 'look',
  onMs: 0,
  offMs: 30 * MINUTE,
  limits: LIMITS,
  rising: [['goneBelowTimes', 'times']],
  needs: [
    ['pump/flow', 'pump/volume'],
    ['pump/running', 'pump/power'],
  ],
  uses: ['filter/running'],
  mutedBy: ['flow-while-off'],
  memory: () => ({ minutes: 0, since: 0, isFine: false }),
  minute(minute, memory, _, days, limits): Finding {
    const { states, lPerMin, settings } = minute;
    if (lPerMin === null || states.pumpOn === null) return 'blind';
    if (states.drained) return 'gone';
    // once it was seen to tell what it should, a pump that rests does not put that in doubt
    const isRunning = states.pumpOn && states.pumpMinutes >= AFTER_START_MIN;
    if (!isRunning || states.filterRun) return memory.isFine ? 'gone' : 'between';
    const averagedMin = Math.min(AVERAGED_MIN, Math.floor(states.pumpMinutes));
    const mean = minute.over('lPerMin', averagedMin)?.mean;
    if (mean === undefined) return 'between';
    const usualLPerMin = usualOf(days, settings);
    const most = mostLPerMin(minute, limits);
    const limit = Math.min(most, limits.times * (usualLPerMin ?? most));
    if (mean < (limits.goneBelowTimes / limits.times) * limit) {
      if (!isFullFlow(minute)) return memory.isFine ? 'gone' : 'between';
      Object.assign(memory, { minutes: 0, isFine: true });
      return 'gone';
    }
    if (mean <= limit) return 'between';
    memory.isFine = false;
    if (memory.minutes++ === 0) memory.since = minute.t;
    if (memory.minutes < LASTS_MIN) return 'between';
    // as in its first days, unless that too was more than the pump can move
    const expected =
      usualLPerMin !== null && usualLPerMin < most ? usualLPerMin : settings.loop.flowLPerMin;
    return {
      since: memory.since,
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

/** A pump on its own panel moves less in weak sun: that its meter tells little then proves nothing. */
const isFullFlow = ({ settings, sunWPerM2, clearWPerM2 }: Minute): boolean =>
  settings.pump.supply === 'mains' || (sunWPerM2 ?? clearWPerM2) >= FULL_FLOW_W_PER_M2;

const mostLPerMin = ({ settings }: Minute, limits: Limits): number =>
  Math.max(
    limits.mostLPerMin * Math.max(1, settings.pump.watts / MOST_AT_WATTS),
    settings.said.flowLPerMin ? 2 * settings.loop.flowLPerMin : 0,
  );

/** In the first days; of a pump on its own panel what it moves in the best sun, which they may lack. */
function usualOf(days: readonly PastDay<FlowFact>[], settings: TubSettings): number | null {
  const { owner, pump, loop } = settings;
  const flows = sinceCleaned(days, owner.filterCleanedAt).flatMap(({ fact }) => fact.lPerMin ?? []);
  const first = flows.slice(0, REFERENCE_DAYS).filter((flow) => flow > 0.3);
  if (first.length === 0) return null;
  const low = quantile(first, LOWER);
  return pump.supply === 'mains' ? low : Math.max(low, loop.flowLPerMin);
}
