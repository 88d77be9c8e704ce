import { HOUR, MINUTE } from '../readings.ts';
import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

const JUMPS_AN_HOUR = 3;
const CALM_MS = 6 * HOUR;
/** Water that stood moves on when the pump changes: what it passes may jump for this long. [ms] */
const AFTER_PUMP_MS = 15 * MINUTE;

/** A thermometer jumps by more than its place can, and comes back, several times an hour. */
export const jumpingReading: Rule = {
  fault: 'jumping-reading',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: temperatureSensors,
  minute({ t, heard, pump, states }, _, point): Finding {
    const { jumps } = heard[point]!;
    if (jumps.length === 0 || states.drained) return 'gone';
    const changes = point.startsWith('collector/') ? [...pump.starts, ...pump.stops] : [];
    const odd = jumps.filter(
      (at) =>
        at > t - CALM_MS &&
        !changes.some((changed) => at >= changed - MINUTE && at < changed + AFTER_PUMP_MS),
    );
    if (odd.length === 0) return 'gone';
    const lately = odd.filter((at) => at > t - HOUR);
    if (lately.length < JUMPS_AN_HOUR) return 'between';
    return { evidence: { jumpsInAnHour: lately.length }, since: lately[0]! };
  },
};
