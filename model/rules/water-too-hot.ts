import type { Minute } from '../minutes/minute.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

/** People's limit is 40 °C; sensors are off by half a degree. */
const ACT = { fromC: 40.5, lastsMs: 10 * MINUTE };
const DANGER = { fromC: 41, lastsMs: 2 * MINUTE };
const ENDS_BELOW_C = 39.5;
/** Still water lies in layers: a low reading means something once it has been moved for so long. */
const MIXED_MIN = 10;
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
export const waterTooHot: Rule<Memory> = {
  fault: 'water-too-hot',
  severity: 'act',
  onMs: 0,
  offMs: 15 * MINUTE,
  needs: [['tub/temperature']],
  uses: ['pump/running', 'filter/running', 'backup/power', 'backup/energy'],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped'],
  memory: () => ({
    since: null,
    dangerSince: null,
    hottestC: 0,
    lowSince: null,
    mixedMin: 0,
    isUnsure: false,
  }),
  minute(minute, memory): Finding {
    const { t, tubC } = minute;
    if (tubC === null) return 'blind';
    memory.since = tubC >= ACT.fromC ? (memory.since ?? t) : null;
    memory.dangerSince = tubC >= DANGER.fromC ? (memory.dangerSince ?? t) : null;
    if (tubC < ENDS_BELOW_C) return isMixed(minute, memory) ? 'gone' : 'between';
    memory.lowSince = null;
    const isDanger = lasts(memory.dangerSince, DANGER.lastsMs, t);
    if (!isDanger && !lasts(memory.since, ACT.lastsMs, t)) return 'between';
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
function isMixed({ t, states }: Minute, memory: Memory): boolean {
  if (!memory.isUnsure) return true;
  if (memory.lowSince === null) Object.assign(memory, { lowSince: t, mixedMin: 0 });
  memory.mixedMin = states.pumpOn || states.filterRun ? memory.mixedMin + 1 : 0;
  if (memory.mixedMin < MIXED_MIN && t - memory.lowSince! < MIXED_BY_ITSELF_MS) return false;
  memory.isUnsure = false;
  return true;
}
