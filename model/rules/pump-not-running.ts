import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { type HotStop, mayRest, noHotStop, seeHotStop } from './hot-stop.ts';
import { loopHeatW } from './loop-heat.ts';
import { hasNoPower } from './pump-draw.ts';
import type { Finding, PastDay, Rule } from './rule.ts';
import { gainedK, isWarming } from './still-stretch.ts';

/** How far above the switch-on difference no healthy loop stands still for a quarter of an hour. */
const LIMITS = { aboveOnK: 4 };
/** A controller was seen to start later than its settings say, but never later than this. [K] */
const LATEST_START_K = 30;
const LEARNS_FROM_DAYS = 3;
const MOST_STARTS = 50;
/** In good sun the difference is soon so far above; else it has to last longer. [K], [min] */
const GOOD_SUN_K = 18;
const GREY_MIN = 90;
/** A pump on its own panel turns from about half of this on. */
const PANEL_W_PER_M2 = 250;
const MILD_AIR_C = 20;
/** A thermometer that shows nothing of so much warming, or of so many of its steps, is not believed. */
const UNSEEN = { k: 0.4, steps: 1.2 };

/** Difference at which the pump started, as the median of a day. [K] */
export interface StartFact {
  startK: number;
}

interface Memory extends HotStop {
  /** For how many minutes the collectors have been hot enough, and whether they went well beyond. */
  hotMinutes: number;
  isRising: boolean;
  /** Difference at the last start, and when that was [ms]. */
  startK: number;
  startAt: number;
  /** Since when the tub's thermometer tells the same [ms], and what it should have warmed by since [K]. */
  sameSince: number;
  unseenK: number;
}

/** The collectors are hot, the tub could take the heat, and the pump stands still. */
export const pumpNotRunning: Rule<Memory, number[], StartFact, typeof LIMITS> = {
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
  uses: ['pump/power', 'pump/commanded', 'collector/irradiance', 'outdoor/temperature'],
  mutedBy: ['to-and-from-swapped tub/temperature', 'tub-sensor-out-of-water', 'pump-power-high'],
  memory: () => ({
    ...noHotStop(),
    hotMinutes: 0,
    isRising: false,
    startK: 0,
    startAt: 0,
    sameSince: 0,
    unseenK: 0,
  }),
  /** Stands until the pump was seen to run: that the collectors cool at night mends nothing. */
  minute(minute, memory, _, days, { aboveOnK }): Finding {
    const { differenceK, states, settings, usual, tubC } = minute;
    seeHotStop(memory, minute);
    watchTub(memory, minute);
    const startK = startOf(minute);
    if (startK !== null) Object.assign(memory, { startK, startAt: minute.t });
    if (differenceK === null || states.pumpOn === null) return 'blind';
    const isPowerless = hasNoPower(minute);
    if (states.drained || (states.pumpOn && !isPowerless)) return 'gone';
    const onK = settings.controller.switchOnK;
    const startsAtK = Math.max(onK, startSeenK(days, memory, minute.t));
    if (!states.sunPossible || states.limitPause || mayRest(memory, minute)) return 'between';
    // a tub that is warmer than its thermometer tells may be full
    if (isTubDoubtful(memory, minute)) return 'between';
    const isHot = differenceK >= startsAtK + aboveOnK && hasPanelLight(minute);
    memory.hotMinutes = isHot ? memory.hotMinutes + 1 : 0;
    memory.isRising = isHot && (memory.isRising || differenceK >= startsAtK + GOOD_SUN_K);
    // under a grey sky collectors stand for long at what may be the difference that starts the pump
    if (!isHot || (!memory.isRising && memory.hotMinutes < GREY_MIN)) return 'between';
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

/** To be told of every minute. */
function watchTub(memory: Memory, minute: Minute): void {
  const sameSince = minute.heard['tub/temperature']?.sameSince ?? 0;
  if (sameSince !== memory.sameSince) Object.assign(memory, { sameSince, unseenK: 0 });
  if (isWarming(minute)) memory.unseenK += gainedK(minute);
}

const isTubDoubtful = ({ unseenK }: Memory, { heard }: Minute): boolean =>
  unseenK > Math.max(UNSEEN.k, UNSEEN.steps * (heard['tub/temperature']?.stepK ?? 0));

/**
 * Whether a panel of its own has light enough to turn the pump: by a sensor, or by collectors that only
 * so much light holds as hot as they are. Under a grey sky they are warm enough, and the pump rests.
 */
function hasPanelLight({ settings, sunWPerM2, collectorC, airC }: Minute): boolean {
  if (settings.pump.supply === 'mains') return true;
  if (sunWPerM2 !== null) return sunWPerM2 >= PANEL_W_PER_M2;
  const { eta0, a1, a2 } = settings.collectors;
  const aboveK = collectorC! - (airC ?? MILD_AIR_C);
  return aboveK > 0 && (a1 * aboveK + a2 * aboveK ** 2) / eta0 >= PANEL_W_PER_M2;
}

/** The difference at which the pump started a moment ago; null where it did not, or came from a pause. */
export function startOf(minute: Minute): number | null {
  const { states } = minute;
  if (states.pumpOn !== true || states.pumpMinutes > 1 || states.limitPause) return null;
  const collectorC = minute.ago('collectorC', 1);
  const tubC = minute.ago('tubC', 1);
  return collectorC === null || tubC === null ? null : collectorC - tubC;
}

/** The difference at which the controller was lately seen to start the pump. [K] */
function startSeenK(
  days: readonly PastDay<StartFact>[],
  { startK, startAt }: Memory,
  t: number,
): number {
  const seen = days.slice(-LEARNS_FROM_DAYS).map(({ fact }) => fact.startK);
  if (t - startAt < 24 * HOUR) seen.push(startK);
  return Math.min(LATEST_START_K, Math.max(0, ...seen));
}
