import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { pulseFactor } from './pulse-factor.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** Of the usual flow: less is none, more is enough. */
  zeroShare: 0.03,
  goneAbove: 0.1,
  /** Of one run or of several. */
  lastsMin: 15,
  /** Water that moves brings what the collectors have. */
  followsK: 5,
};
const ZERO_L_PER_MIN = 0.05;
const AFTER_START_MIN = 3;
/** Collectors hotter than this run away. */
const MOST = { times: 1.2, leastK: 15, bySun: 1.5, mildK: 5 };
const FULL_SUN_W_PER_M2 = 900;
const LEAST_DIFFERENCE_K = 3;
/** Without a sensor at the return: sun enough, and a tub that warms without other heat. */
const SUNNY_W_PER_M2 = 500;
const WARMS_K_PER_H = 0.3;
/** A pump on its own panel may move less than a meter can see under cloud. [share of full sun] */
const OWN_PANEL_SHARE = 0.45;

/** The meter stands still though water goes round. */
export const flowSensorAtZero: Rule<
  { minutes: number; since: number; flows: boolean },
  unknown,
  unknown,
  typeof LIMITS
> = {
  fault: 'flow-sensor-at-zero',
  severity: 'look',
  onMs: 0,
  offMs: 5 * MINUTE,
  limits: LIMITS,
  rising: [['zeroShare', 'goneAbove']],
  needs: [
    ['pump/flow', 'pump/volume'],
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power'],
  ],
  uses: ['collector/outlet'],
  mutedBy: ['running-without-flow', 'pump-not-running', 'pump-power-low', 'pump-power-high'],
  memory: () => ({ minutes: 0, since: 0, flows: false }),
  minute(minute, memory, _, __, limits): Finding {
    const { states, lPerMin, usual, settings, differenceK } = minute;
    if (lPerMin === null || states.pumpOn === null || differenceK === null) return 'blind';
    if (states.drained) return 'gone';
    // once it was seen to turn, a pump that rests does not put that in doubt
    if (!states.pumpOn) return memory.flows ? 'gone' : 'between';
    const usualLPerMin = Math.max(usual.lPerMin, 0.5 * settings.loop.flowLPerMin);
    if (lPerMin > limits.goneAbove * usualLPerMin) {
      Object.assign(memory, { minutes: 0, flows: true });
      return 'gone';
    }
    const isZero = lPerMin <= Math.max(ZERO_L_PER_MIN, limits.zeroShare * usualLPerMin);
    if (states.pumpMinutes < AFTER_START_MIN || !isZero || !doesWaterMove(minute, limits))
      return 'between';
    if (memory.minutes++ === 0) memory.since = minute.t;
    memory.flows = false;
    if (memory.minutes < limits.lastsMin) return 'between';
    return {
      since: memory.since,
      evidence: {
        lPerMin,
        usualLPerMin,
        collectorC: minute.collectorC,
        outletC: minute.outletC,
        tubC: minute.tubC,
        differenceK,
        multipliedBy: pulseFactor(lPerMin, usualLPerMin) === null ? null : 60,
      },
    };
  },
};

function doesWaterMove(minute: Minute, { followsK }: typeof LIMITS): boolean {
  const { differenceK, usual, collectorC, outletC, tubC, settings } = minute;
  const leastK =
    settings.pump.supply === 'mains' ? LEAST_DIFFERENCE_K : OWN_PANEL_SHARE * usual.fullSunK;
  if (differenceK! < leastK || differenceK! > Math.max(MOST.leastK, MOST.times * usual.fullSunK))
    return false;
  const sun = minute.sunWPerM2 ?? minute.clearWPerM2;
  // at more than the sun there is can do with the usual flow, little water moves
  if (differenceK! > Math.max(MOST.mildK, (MOST.bySun * usual.fullSunK * sun) / FULL_SUN_W_PER_M2))
    return false;
  if (outletC !== null) return collectorC! - outletC <= followsK && outletC > tubC! + 1;
  const isSunny = sun >= SUNNY_W_PER_M2;
  const warms = (minute.slopePerH('tubC', 60) ?? 0) >= WARMS_K_PER_H;
  return isSunny && warms && settings.backup.kind === 'none';
}
