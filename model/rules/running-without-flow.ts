import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { loopHeatW } from './loop-heat.ts';
import { hasNoPower } from './pump-draw.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** Collectors run away: hotter than any flow leaves them, even half of the usual one. */
  runawayK: 20,
  runawayTimes: 1.6,
  runawayMoreK: 12,
  /** Less of the usual flow is none. */
  noFlowShare: 0.1,
  noFlowLPerMin: 0.3,
};
type Limits = typeof LIMITS;
/** Where the meter too tells that nothing moves. */
const WITH_METER_TIMES = 1.6;
const AFTER_START_MIN = 5;
const FILLED_MIN = 2;
/** Without flow the collectors climb so fast, or the pipe stays cold. */
const PROOF = { kPerH: 42, apartK: 10 };
/** Of how far the collectors are above the tub, what comes back is so much where water brings it. */
const ARRIVES = 0.5;
/** So much of the usual flow is water that moves. */
const FLOWS = 0.3;
/** Below it a pump proves nothing by collectors that stay cool. [W/m²] */
const SUNNY_W_PER_M2 = 400;
const CALM_K_PER_H = 15;
const MOVED_MIN = 40;
/** What is usual in full sun is now and then a little more. */
const COOL = { times: 1.3, leastK: 10 };

/** The pump runs, and no water takes the heat out of the collectors. */
export const runningWithoutFlow: Rule<{ moved: number }, unknown, unknown, Limits> = {
  fault: 'running-without-flow',
  severity: 'act',
  onMs: 10 * MINUTE,
  offMs: 20 * MINUTE,
  limits: LIMITS,
  needs: [['tub/temperature'], ['collector/temperature'], ['pump/running', 'pump/power']],
  uses: ['pump/flow', 'pump/volume', 'collector/outlet'],
  mutedBy: [
    'sensor-short',
    'to-and-from-swapped',
    'tub-sensor-out-of-water',
    'pump-not-running',
    'pump-power-low',
    'pump-power-high',
  ],
  memory: () => ({ moved: 0 }),
  minute(minute, memory, _, __, limits): Finding {
    const { states, differenceK, lPerMin, usual } = minute;
    if (differenceK === null || states.pumpOn === null) return 'blind';
    if (states.drained) return 'gone';
    if (states.pumpOn && states.pumpMinutes >= FILLED_MIN) look(minute, memory, limits);
    // once water was seen to move, a pump that rests does not put that in doubt
    if (memory.moved >= MOVED_MIN) return 'gone';
    // a pump that is asked and has no power does not run
    const runs = states.pumpOn && states.pumpMinutes >= AFTER_START_MIN && !hasNoPower(minute);
    if (!runs || !isWithoutFlow(minute, limits)) return 'between';
    return {
      evidence: {
        collectorC: minute.collectorC,
        tubC: minute.tubC,
        differenceK,
        fullSunK: usual.fullSunK,
        outletC: minute.outletC,
        lPerMin,
        usualLPerMin: usual.lPerMin,
        watts: minute.pumpW,
        runsMinutes: Number.isFinite(states.pumpMinutes) ? Math.round(states.pumpMinutes) : null,
      },
      costW: loopHeatW(minute, usual),
    };
  },
};

/** Counts the minutes in which water was seen to move, of which a meter tells sooner, unless it hangs. */
function look(minute: Minute, memory: { moved: number }, limits: Limits): void {
  const { lPerMin, usual } = minute;
  if (isWithoutFlow(minute, limits)) memory.moved = 0;
  else if (lPerMin !== null && lPerMin >= FLOWS * usual.lPerMin) memory.moved += MOVED_MIN / 2;
  else if (isCool(minute)) memory.moved++;
}

function isWithoutFlow(minute: Minute, limits: Limits): boolean {
  const { differenceK, lPerMin, usual, collectorC, outletC } = minute;
  const { runawayK, runawayTimes, runawayMoreK, noFlowShare, noFlowLPerMin } = limits;
  const isNone = lPerMin !== null && lPerMin < Math.max(noFlowLPerMin, noFlowShare * usual.lPerMin);
  if (lPerMin !== null && !isNone && arrives(minute)) return false;
  const farK = runawayTimes * usual.fullSunK + runawayMoreK;
  if (differenceK! >= Math.max(runawayK, farK)) return true;
  if (!isNone) return false;
  if (differenceK! >= Math.max(runawayK, WITH_METER_TIMES * usual.fullSunK)) return true;
  const climbs = (minute.slopePerH('collectorC', 5) ?? 0) >= PROOF.kPerH;
  return climbs || (outletC !== null && collectorC! - outletC >= PROOF.apartK);
}

/** Whether the collectors' heat comes back to the tub: little water may be hot, and is not none. */
const arrives = ({ tubC, outletC, differenceK }: Minute): boolean =>
  outletC !== null && outletC - tubC! >= ARRIVES * differenceK!;

/** In good sun, settled, no hotter than with the usual flow. */
function isCool(minute: Minute): boolean {
  const { states, clearWPerM2, sunWPerM2, differenceK, usual } = minute;
  if (states.settling || (sunWPerM2 ?? clearWPerM2) < SUNNY_W_PER_M2) return false;
  if (minute.lPerMin !== null || differenceK! >= Math.max(COOL.leastK, COOL.times * usual.fullSunK))
    return false;
  return (minute.slopePerH('collectorC', 15) ?? Number.NEGATIVE_INFINITY) > -CALM_K_PER_H;
}
