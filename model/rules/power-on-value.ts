import { HOUR } from '../readings.ts';
import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';

/** Restarts that are worth a word, and those that are not, in a day. */
const OFTEN = 6;
const SELDOM = 2;

/** A digital sensor starts anew again and again: each time it tells its power-on value, which is dropped. */
export const powerOnValue: Rule = {
  fault: 'power-on-value',
  severity: 'note',
  onMs: 0,
  offMs: 0,
  needs: [],
  mutedBy: ['device-silent', 'broker-lost'],
  subjects: temperatureSensors,
  minute({ t, heard, states }, _, point): Finding {
    const times = heard[point]!.powerOns;
    const lately = times.filter((at) => at > t - 24 * HOUR);
    if (lately.length <= SELDOM || states.drained) return 'gone';
    if (lately.length < OFTEN) return 'between';
    return { evidence: { timesInADay: lately.length }, since: lately[0]! };
  },
};
