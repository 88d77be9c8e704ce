import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** How many readings in a row have to be impossible. */
const LIMITS = { readings: 3 };

interface Memory {
  /** Newest reading that cannot be [ms]. */
  badAt: number | null;
}

/** A sensor tells what no place can be, as with a broken wire: below its range, or no answer. */
export const sensorOpen: Rule<Memory, unknown, unknown, typeof LIMITS> = {
  fault: 'sensor-open',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: temperatureSensors,
  memory: () => ({ badAt: null }),
  minute({ heard, states }, memory, point, _, limits): Finding {
    const { open, raw, values, times, heardAt } = heard[point]!;
    if (states.drained) return 'gone';
    if (open.count > 0) memory.badAt = heardAt;
    if (open.count >= limits.readings) {
      return { evidence: { valueC: raw, readings: open.count }, since: open.since };
    }
    // three good ones in a row end it
    const isWell = values.length === 3 && times[2]! > (memory.badAt ?? Number.NEGATIVE_INFINITY);
    return isWell ? 'gone' : 'between';
  },
};
