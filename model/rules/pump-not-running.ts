import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import { type HotStop, mayRest, noHotStop, seeHotStop } from './hot-stop.ts';
import { loopHeatW } from './loop-heat.ts';
import { hasNoPower } from './pump-draw.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

/** How far above the switch-on difference no healthy loop stands still for a quarter of an hour. */
const LIMITS = { aboveOnK: 4 };
/** A controller was seen to start later than its settings say, but never later than this. [K] */
const LATEST_START_K = 30;
const LEARNS_FROM_DAYS = 7;
const MOST_STARTS = 50;

/** Difference at which the pump started, as the median of a day. [K] */
export interface StartFact {
  startK: number;
}

/** The collectors are hot, the tub could take the heat, and the pump stands still. */
export const pumpNotRunning: Rule<HotStop, number[], StartFact, typeof LIMITS> = {
  fault: 'pump-not-running',
  severity: 'act',
  onMs: 15 * MINUTE,
  offMs: 2 * MINUTE,
  limits: LIMITS,
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['pump/power', 'pump/commanded'],
  mutedBy: ['to-and-from-swapped', 'tub-sensor-out-of-water', 'pump-power-high'],
  memory: noHotStop,
  /** Stands until the pump was seen to run: that the collectors cool at night mends nothing. */
  minute(minute, stop, _, days, { aboveOnK }): Finding {
    const { differenceK, states, settings, usual, tubC } = minute;
    seeHotStop(stop, minute);
    if (differenceK === null || states.pumpOn === null) return 'blind';
    const isPowerless = hasNoPower(minute);
    if (states.drained || (states.pumpOn && !isPowerless)) return 'gone';
    const onK = settings.controller.switchOnK;
    const startsAtK = Math.max(onK, startSeenK(days));
    if (!states.sunPossible || states.limitPause || mayRest(stop, minute)) return 'between';
    if (differenceK < startsAtK + aboveOnK) return 'between';
    return {
      evidence: {
        collectorC: minute.collectorC,
        tubC,
        differenceK,
        switchOnK: onK,
        asked: minute.asked ?? (isPowerless ? true : null),
        stoodMinutes: Number.isFinite(states.pumpMinutes) ? Math.round(states.pumpMinutes) : null,
      },
      costW: loopHeatW(minute, usual),
    };
  },
  daily: {
    begin: () => [],
    add(starts, minute) {
      const startK = startOf(minute);
      if (startK !== null && starts.length < MOST_STARTS) starts.push(startK);
    },
    close: (starts) => (starts.length === 0 ? null : { startK: quantile(starts, 0.5) }),
  },
};

/** The difference at which the pump started a moment ago; null where it did not, or came from a pause. */
export function startOf(minute: Minute): number | null {
  const { states } = minute;
  if (states.pumpOn !== true || states.pumpMinutes > 1 || states.limitPause) return null;
  const collectorC = minute.ago('collectorC', 1);
  const tubC = minute.ago('tubC', 1);
  return collectorC === null || tubC === null ? null : collectorC - tubC;
}

/** The difference at which the controller was lately seen to start the pump. [K] */
function startSeenK(days: readonly PastDay<StartFact>[]): number {
  const seen = days.slice(-LEARNS_FROM_DAYS).map(({ fact }) => fact.startK);
  return seen.length === 0 ? 0 : Math.min(LATEST_START_K, quantile(seen, 0.5));
}
