import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

/** Water that scalds; plain PVC pipe is no good for much more. [°C] */
const ACT_C = 55;
const DANGER_C = 60;
const ENDS_BELOW_C = 50;
/** The water that stood in hot collectors comes first, and is soon gone. [min] */
const SLUG_MIN = 8;
const FLOWS_L_PER_MIN = 0.3;

interface Memory {
  since: number | null;
  hottestC: number;
}

/** Water runs into the tub so hot that it scalds whoever sits where it comes in. */
export const hotWaterToTub: Rule<Memory> = {
  fault: 'hot-water-to-tub',
  severity: 'act',
  onMs: MINUTE,
  offMs: 5 * MINUTE,
  needs: [['collector/outlet'], ['pump/running', 'pump/power', 'pump/flow', 'pump/volume']],
  uses: ['pump/flow'],
  mutedBy: ['to-and-from-swapped'],
  memory: () => ({ since: null, hottestC: 0 }),
  minute(minute, memory): Finding {
    const { t, outletC, lPerMin, states } = minute;
    const flows = states.pumpOn ?? (lPerMin === null ? null : lPerMin > FLOWS_L_PER_MIN);
    if (outletC === null || flows === null) return 'blind';
    // a pipe that stands in the sun is hot as well, and hurts nobody in the water
    const isStill = !flows || (lPerMin !== null && lPerMin < FLOWS_L_PER_MIN);
    if (isStill || outletC < ENDS_BELOW_C) {
      memory.since = null;
      return 'gone';
    }
    if (outletC < ACT_C) return 'between';
    memory.hottestC = memory.since === null ? outletC : Math.max(outletC, memory.hottestC);
    memory.since ??= t;
    if (states.pumpMinutes <= SLUG_MIN) return 'between';
    return {
      severity: outletC >= DANGER_C ? 'danger' : 'act',
      since: memory.since,
      evidence: {
        outletC,
        hottestC: memory.hottestC,
        tubC: minute.tubC,
        lPerMin,
        ranMinutes: Number.isFinite(states.pumpMinutes) ? Math.round(states.pumpMinutes) : null,
      },
    };
  },
};
