import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const WARM_COLLECTOR_C = 8;

/** The pump runs in the dark, and carries the tub's heat to the sky. */
export const pumpOnAtNight: Rule = {
  fault: 'pump-on-at-night',
  severity: 'act',
  onMs: 20 * MINUTE,
  offMs: 10 * MINUTE,
  needs: [['pump/running', 'pump/power', 'pump/flow'], ['collector/temperature']],
  mutedBy: ['device-silent', 'broker-lost'],
  minute(minute): Finding {
    const { states, collectorC, tubC, differenceK, settings } = minute;
    if (states.pumpOn === null || collectorC === null) return 'blind';
    if (!states.pumpOn || states.drained) return 'gone';
    if (!states.dark || collectorC < WARM_COLLECTOR_C) return 'between';
    // a controller that cools a tub that is too warm does so on purpose
    if (tubC !== null && tubC > settings.tub.limitC && differenceK! < -5) return 'between';
    return {
      evidence: { collectorC, tubC, hours: Math.round(states.pumpMinutes / 6) / 10 },
      ...(differenceK === null
        ? {}
        : { costW: Math.max(0, -differenceK) * minute.usual.lPerMin * (4150 / 60) }),
    };
  },
};
