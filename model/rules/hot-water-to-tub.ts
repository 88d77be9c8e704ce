import { HOUR, MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** Water that scalds; plain PVC pipe is no good for much more. */
  actC: 55,
  dangerC: 60,
  /** It is over where the water is cooler than both by so much. */
  endsBelowK: 5,
  /** The water that stood in hot collectors comes first, and is soon gone. */
  slugMin: 8,
  /** But not where one such run follows the other: minutes of hot water within an hour. */
  hotMinPerH: 15,
};
const FLOWS_L_PER_MIN = 0.3;

interface Memory {
  since: number | null;
  hottestC: number;
  /** Minutes of the last hour in which it was hot. */
  hotAt: number[];
}

/** Water runs into the tub so hot that it scalds whoever sits where it comes in. */
export const hotWaterToTub: Rule<Memory, unknown, unknown, typeof LIMITS> = {
  fault: 'hot-water-to-tub',
  severity: 'act',
  onMs: MINUTE,
  offMs: 5 * MINUTE,
  limits: LIMITS,
  highest: { actC: LIMITS.actC, dangerC: LIMITS.dangerC },
  needs: [['collector/outlet'], ['pump/running', 'pump/power', 'pump/flow', 'pump/volume']],
  uses: ['pump/flow'],
  mutedBy: [],
  memory: () => ({ since: null, hottestC: 0, hotAt: [] }),
  minute(minute, memory, _point, _days, limits): Finding {
    const { t, outletC, lPerMin, states } = minute;
    const flows = states.pumpOn ?? (lPerMin === null ? null : lPerMin > FLOWS_L_PER_MIN);
    if (outletC === null || flows === null) return 'blind';
    // a pipe that stands in the sun is hot as well, and hurts nobody in the water
    const isStill = !flows || (lPerMin !== null && lPerMin < FLOWS_L_PER_MIN);
    const fromC = Math.min(limits.actC, limits.dangerC);
    while (memory.hotAt.length > 0 && memory.hotAt[0]! <= t - HOUR) memory.hotAt.shift();
    if (!isStill && outletC >= fromC) memory.hotAt.push(t);
    const isOften = memory.hotAt.length >= limits.hotMinPerH;
    if (isStill || outletC < fromC - limits.endsBelowK) {
      if (isStill && isOften) return 'between';
      memory.since = null;
      return 'gone';
    }
    if (outletC < fromC) return 'between';
    memory.hottestC = memory.since === null ? outletC : Math.max(outletC, memory.hottestC);
    memory.since ??= t;
    if (states.pumpMinutes <= limits.slugMin && !isOften) return 'between';
    return {
      severity: outletC >= limits.dangerC ? 'danger' : 'act',
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
