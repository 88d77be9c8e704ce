import { HOUR, MINUTE } from '../readings.ts';
import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  jumpsInAnHour: 3,
  /** How long it has to be calm before that is over. */
  calmHours: 6,
};
/** Water that stood moves on when the pump changes: what it passes may jump for this long. [ms] */
const AFTER_PUMP_MS = 15 * MINUTE;

/** A thermometer jumps by more than its place can, and comes back, several times an hour. */
export const jumpingReading: Rule<unknown, unknown, unknown, typeof LIMITS> = {
  fault: 'jumping-reading',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: temperatureSensors,
  minute({ t, heard, pump, states }, _, point, __, limits): Finding {
    const { jumps } = heard[point]!;
    if (jumps.length === 0 || states.drained) return 'gone';
    const changes = point.startsWith('collector/') ? [...pump.starts, ...pump.stops] : [];
    const odd = jumps.filter(
      (at) =>
        at > t - limits.calmHours * HOUR &&
        !changes.some((changed) => at >= changed - MINUTE && at < changed + AFTER_PUMP_MS),
    );
    if (odd.length === 0) return 'gone';
    const lately = odd.filter((at) => at > t - HOUR);
    if (lately.length < limits.jumpsInAnHour) return 'between';
    return { evidence: { jumpsInAnHour: lately.length }, since: lately[0]! };
  },
};
