import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { pulseFactor } from './pulse-factor.ts';
import type { Finding, Rule } from './rule.ts';

/** Less of the usual flow is none. */
const ZERO = { share: 0.03, lPerMin: 0.05 };
const GONE_ABOVE = 0.1;
const AFTER_START_MIN = 3;
/** Of one run or of several. */
const LASTS_MIN = 15;
/** Water that moves brings what the collectors have. [K] */
const FOLLOWS_K = 5;
/** Collectors hotter than this run away. */
const MOST = { times: 1.2, leastK: 15 };
const LEAST_DIFFERENCE_K = 3;
/** Without a sensor at the return: sun enough, and a tub that warms without other heat. */
const SUNNY_W_PER_M2 = 500;
const WARMS_K_PER_H = 0.3;
/** A pump on its own panel may move less than a meter can see under cloud. [share of full sun] */
const OWN_PANEL_SHARE = 0.6;

/** The meter stands still though water goes round. */
export const flowSensorAtZero: Rule<{ minutes: number; flows: boolean }> = {
  fault: 'flow-sensor-at-zero',
  severity: 'look',
  onMs: 0,
  offMs: 5 * MINUTE,
  needs: [
    ['pump/flow', 'pump/volume'],
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power'],
  ],
  uses: ['collector/outlet'],
  mutedBy: ['running-without-flow', 'pump-not-running', 'pump-power-low', 'pump-power-high'],
  memory: () => ({ minutes: 0, flows: false }),
  minute(minute, memory): Finding {
    const { states, lPerMin, usual, settings, differenceK } = minute;
    if (lPerMin === null || states.pumpOn === null || differenceK === null) return 'blind';
    if (states.drained) return 'gone';
    // once it was seen to turn, a pump that rests does not put that in doubt
    if (!states.pumpOn) return memory.flows ? 'gone' : 'between';
    const usualLPerMin = Math.max(usual.lPerMin, 0.5 * settings.loop.flowLPerMin);
    if (lPerMin > GONE_ABOVE * usualLPerMin) {
      Object.assign(memory, { minutes: 0, flows: true });
      return 'gone';
    }
    const isZero = lPerMin <= Math.max(ZERO.lPerMin, ZERO.share * usualLPerMin);
    if (states.pumpMinutes < AFTER_START_MIN || !isZero || !doesWaterMove(minute)) return 'between';
    memory.minutes++;
    memory.flows = false;
    if (memory.minutes < LASTS_MIN) return 'between';
    return {
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

function doesWaterMove(minute: Minute): boolean {
  const { differenceK, usual, collectorC, outletC, tubC, settings } = minute;
  const leastK =
    settings.pump.supply === 'mains' ? LEAST_DIFFERENCE_K : OWN_PANEL_SHARE * usual.fullSunK;
  if (differenceK! < leastK || differenceK! > Math.max(MOST.leastK, MOST.times * usual.fullSunK))
    return false;
  if (outletC !== null) return collectorC! - outletC <= FOLLOWS_K && outletC > tubC! + 1;
  const isSunny = (minute.sunWPerM2 ?? minute.clearWPerM2) >= SUNNY_W_PER_M2;
  const warms = (minute.slopePerH('tubC', 60) ?? 0) >= WARMS_K_PER_H;
  return isSunny && warms && settings.backup.kind === 'none';
}
