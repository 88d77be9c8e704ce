import { MINUTE } from '../readings.ts';
import { type DrawFact, drawDaily, drawOf } from './pump-draw.ts';
import type { Finding, Rule } from './rule.ts';

/** A pump that moves no water draws less: behind a closed valve 0.5 to 0.7, in air 0.3 to 0.5. */
const LIMITS = { lowBelow: 0.6, goneAbove: 0.7 };
/** Less is no pump that runs dry, but none at all. */
const NOTHING = 0.1;
/** Less than this share of the usual flow is none. */
const NO_FLOW = 0.1;

/** The pump draws much less than with water moving: it runs dry, or against a closed valve. */
export const pumpPowerLow: Rule<{ isFine: boolean }, unknown, DrawFact, typeof LIMITS> = {
  fault: 'pump-power-low',
  severity: 'act',
  onMs: 3 * MINUTE,
  offMs: 5 * MINUTE,
  limits: LIMITS,
  rising: [['lowBelow', 'goneAbove']],
  needs: [['pump/power'], ['pump/running', 'pump/commanded', 'pump/flow']],
  uses: ['pump/voltage', 'pump/flow'],
  mutedBy: ['broker-lost'],
  memory: () => ({ isFine: false }),
  minute(minute, memory, _, days, limits): Finding {
    const { states, pumpW, lPerMin, usual } = minute;
    if (pumpW === null || states.pumpOn === null) return 'blind';
    if (states.drained) return 'gone';
    const draw = drawOf(minute, days);
    // once it drew what it should, a pump that rests does not put that in doubt
    if (!draw || draw.share < NOTHING) return memory.isFine ? 'gone' : 'between';
    memory.isFine = draw.share > limits.goneAbove;
    if (memory.isFine) return 'gone';
    if (draw.share >= limits.lowBelow) return 'between';
    return {
      evidence: {
        ...draw,
        lPerMin,
        usualLPerMin: usual.lPerMin,
        withoutFlow: lPerMin === null ? null : lPerMin < NO_FLOW * usual.lPerMin,
      },
    };
  },
  daily: drawDaily,
};
