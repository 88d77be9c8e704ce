import { MINUTE } from '../readings.ts';
import { loopHeatW } from './loop-heat.ts';
import type { Finding, Rule } from './rule.ts';

/** How far above the switch-on difference no healthy loop stands still for a quarter of an hour. [K] */
const ABOVE_ON_K = 4;

/** The collectors are hot, the tub could take the heat, and the pump stands still. */
export const pumpNotRunning: Rule = {
  fault: 'pump-not-running',
  severity: 'act',
  onMs: 15 * MINUTE,
  offMs: 2 * MINUTE,
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  mutedBy: ['device-silent', 'broker-lost', 'to-and-from-swapped', 'tub-sensor-out-of-water'],
  /** Stands until the pump was seen to run: that the collectors cool at night mends nothing. */
  minute(minute): Finding {
    const { differenceK, states, settings, usual, tubC } = minute;
    if (differenceK === null || states.pumpOn === null) return 'blind';
    if (states.drained || states.pumpOn) return 'gone';
    const onK = settings.controller.switchOnK;
    if (!states.sunPossible || states.limitPause || differenceK < onK + ABOVE_ON_K)
      return 'between';
    return {
      evidence: {
        collectorC: minute.collectorC,
        tubC,
        differenceK,
        switchOnK: onK,
        stoodMinutes: Number.isFinite(states.pumpMinutes) ? Math.round(states.pumpMinutes) : null,
      },
      costW: loopHeatW(minute, usual),
    };
  },
};
