import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** How many readings in a row have to be impossible. */
const LIMITS = { readings: 3 };

interface Memory {
  /** Newest reading that cannot be [ms]. */
  badAt: number | null;
}

/** A sensor tells what no place can be, as with wires that touch: above its range, or no supply. */
export const sensorShort: Rule<Memory, unknown, unknown, typeof LIMITS> = {
  fault: 'sensor-short',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost', 'to-and-from-swapped'],
  subjects: temperatureSensors,
  memory: () => ({ badAt: null }),
  minute({ heard, states }, memory, point, _, limits): Finding {
    const { short, raw, values, times, heardAt } = heard[point]!;
    if (states.drained) return 'gone';
    if (short.count > 0) memory.badAt = heardAt;
    if (short.count >= limits.readings) {
      return { evidence: { valueC: raw, readings: short.count }, since: short.since };
    }
    // three good ones in a row end it
    const isWell = values.length === 3 && times[2]! > (memory.badAt ?? Number.NEGATIVE_INFINITY);
    return isWell ? 'gone' : 'between';
  },
};
