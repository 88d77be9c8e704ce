import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const ACT_C = 40.5;
const DANGER_C = 41;
const ENDS_BELOW_C = 39.5;

interface Memory {
  since: number | null;
  dangerSince: number | null;
}

/** Nobody should get into water above 40 °C. */
export const waterTooHot: Rule<Memory> = {
  fault: 'water-too-hot',
  severity: 'act',
  onMs: 0,
  offMs: 15 * MINUTE,
  needs: [['tub/temperature']],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped'],
  memory: () => ({ since: null, dangerSince: null }),
  minute({ t, tubC }, memory): Finding {
    if (tubC === null) return 'blind';
    memory.since = tubC >= ACT_C ? (memory.since ?? t) : null;
    memory.dangerSince = tubC >= DANGER_C ? (memory.dangerSince ?? t) : null;
    if (tubC < ENDS_BELOW_C) return 'gone';
    const isDanger = memory.dangerSince !== null && t - memory.dangerSince >= 2 * MINUTE;
    if (!isDanger && (memory.since === null || t - memory.since < 10 * MINUTE)) return 'between';
    return {
      severity: isDanger ? 'danger' : 'act',
      since: memory.since!,
      evidence: { tubC },
    };
  },
};
