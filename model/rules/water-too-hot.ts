import type { Minute } from '../minutes/minute.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** People's limit is 40 °C; sensors are off by half a degree. */
  actC: 40.5,
  actMin: 10,
  dangerC: 41,
  dangerMin: 2,
  /** It is over where the water is cooler than both limits by so much, wherever these are set. */
  endsBelowK: 1,
  /** Still water lies in layers: a low reading means something once it has been moved for so long. */
  mixedMin: 10,
};
/** Or after so long, as every tub's own filter has run by then. [ms] */
const MIXED_BY_ITSELF_MS = 6 * HOUR;

interface Memory {
  since: number | null;
  dangerSince: number | null;
  hottestC: number;
  /** Since when a tub that was too hot has read low [ms], and for how long its water was moved then. */
  lowSince: number | null;
  mixedMin: number;
  /** It was too hot, and nothing has shown yet that all of it is cooler. */
  isUnsure: boolean;
}

/** Nobody should get into water above 40 °C. */
export const waterTooHot: Rule<Memory, unknown, unknown, typeof LIMITS> = {
  fault: 'water-too-hot',
  severity: 'act',
  onMs: 0,
  offMs: 15 * MINUTE,
  limits: LIMITS,
  highest: {
    actC: LIMITS.actC,
    actMin: LIMITS.actMin,
    dangerC: LIMITS.dangerC,
    dangerMin: LIMITS.dangerMin,
  },
  needs: [['tub/temperature']],
  uses: ['pump/running', 'filter/running', 'backup/power', 'backup/energy'],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped tub/temperature'],
  memory: () => ({
    since: null,
    dangerSince: null,
    hottestC: 0,
    lowSince: null,
    mixedMin: 0,
    isUnsure: false,
  }),
  minute(minute, memory, _point, _days, limits): Finding {
    const { t, tubC } = minute;
    if (tubC === null) return 'blind';
    const fromC = Math.min(limits.actC, limits.dangerC);
    memory.since = tubC >= fromC ? (memory.since ?? t) : null;
    memory.dangerSince = tubC >= limits.dangerC ? (memory.dangerSince ?? t) : null;
    if (tubC < fromC - limits.endsBelowK)
      return isMixed(minute, memory, limits.mixedMin) ? 'gone' : 'between';
    memory.lowSince = null;
    const isDanger = lasts(memory.dangerSince, limits.dangerMin * MINUTE, t);
    if (!isDanger && !lasts(memory.since, limits.actMin * MINUTE, t)) return 'between';
    memory.hottestC = Math.max(tubC, memory.isUnsure ? memory.hottestC : 0);
    memory.isUnsure = true;
    return {
      severity: isDanger ? 'danger' : 'act',
      since: memory.since!,
      evidence: {
        tubC,
        hottestC: memory.hottestC,
        pumpOn: minute.states.pumpOn,
        backupW: minute.backupW,
      },
    };
  },
};

const lasts = (since: number | null, ms: number, t: number): boolean =>
  since !== null && t - since >= ms;

/** Whether a low reading tells of all the water. */
function isMixed({ t, states }: Minute, memory: Memory, mixedMin: number): boolean {
  if (!memory.isUnsure) return true;
  if (memory.lowSince === null) Object.assign(memory, { lowSince: t, mixedMin: 0 });
  memory.mixedMin = states.pumpOn || states.filterRun ? memory.mixedMin + 1 : 0;
  if (memory.mixedMin < mixedMin && t - memory.lowSince! < MIXED_BY_ITSELF_MS) return false;
  memory.isUnsure = false;
  return true;
}
