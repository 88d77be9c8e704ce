import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** Below it the pump runs against frost, which may last so long though it warms the collectors. */
  frostBelowC: 8,
  frostRunMin: 60,
  /** A controller that cools a tub above its limit does so with collectors this much colder. */
  coolsAtK: 5,
};
/** What a litre in a minute carries, per kelvin. [W] */
const W_PER_L_MIN_K = 4150 / 60;

/** The pump runs in the dark, and carries the tub's heat to the sky. */
export const pumpOnAtNight: Rule<{ againstFrost: number }, unknown, unknown, typeof LIMITS> = {
  fault: 'pump-on-at-night',
  severity: 'act',
  onMs: 20 * MINUTE,
  offMs: 10 * MINUTE,
  limits: LIMITS,
  needs: [['pump/running', 'pump/power', 'pump/flow'], ['collector/temperature']],
  uses: ['tub/temperature'],
  mutedBy: ['clock-wrong'],
  memory: () => ({ againstFrost: 0 }),
  minute(minute, memory, _, __, { frostBelowC, frostRunMin, coolsAtK }): Finding {
    const { states, collectorC, tubC, differenceK, settings, usual, pump } = minute;
    if (states.pumpOn === null || collectorC === null) return 'blind';
    if (!states.pumpOn || states.drained) return 'gone';
    if (!states.dark) return 'between';
    // a run against frost goes on by the name it began with
    if (collectorC < frostBelowC) memory.againstFrost = pump.changedAt;
    const isAgainstFrost =
      memory.againstFrost === pump.changedAt && states.pumpMinutes < frostRunMin;
    if (isAgainstFrost || collectorC < frostBelowC) return 'between';
    const limitC = Math.min(settings.tub.limitC, usual.limitC ?? settings.tub.limitC);
    if (tubC !== null && tubC > limitC && differenceK! < -coolsAtK) return 'between';
    return {
      evidence: {
        collectorC,
        tubC,
        runsMinutes: Number.isFinite(states.pumpMinutes) ? Math.round(states.pumpMinutes) : null,
      },
      ...(differenceK === null
        ? {}
        : {
            costW: Math.max(0, -differenceK) * (minute.lPerMin ?? usual.lPerMin) * W_PER_L_MIN_K,
          }),
    };
  },
};
