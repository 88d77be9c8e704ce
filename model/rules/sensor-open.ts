import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** A sensor tells what no place can be, as with a broken wire: below its range, or no answer. */
export const sensorOpen: Rule = {
  fault: 'sensor-open',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: temperatureSensors,
  minute({ heard }, _, point): Finding {
    const { open, raw, values } = heard[point]!;
    if (open.count >= 3)
      return { evidence: { value: raw, readings: open.count }, since: open.since };
    return values.length > 0 && open.count === 0 ? 'gone' : 'between';
  },
};
