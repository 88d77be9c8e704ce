import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** A sensor tells what no place can be, as with wires that touch: above its range, or no supply. */
export const sensorShort: Rule = {
  fault: 'sensor-short',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: temperatureSensors,
  minute({ heard }, _, point): Finding {
    const { short, raw, values } = heard[point]!;
    if (short.count >= 3) {
      return { evidence: { value: raw, readings: short.count }, since: short.since };
    }
    return values.length > 0 && short.count === 0 ? 'gone' : 'between';
  },
};
