import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = { noteAfterMin: 2, actAfterMin: 15 };

/** Nothing at all can be heard: the broker does not answer. Known live only. */
export const brokerLost: Rule<unknown, unknown, unknown, typeof LIMITS> = {
  fault: 'broker-lost',
  severity: 'note',
  onMs: 0,
  offMs: MINUTE,
  limits: LIMITS,
  rising: [['noteAfterMin', 'actAfterMin']],
  needs: [],
  mutedBy: [],
  minute({ t, outside: { linkDownSince } }, _, __, ___, limits): Finding {
    if (linkDownSince === null) return 'gone';
    const downMin = (t - linkDownSince) / MINUTE;
    if (downMin < limits.noteAfterMin) return 'between';
    return {
      severity: downMin < limits.actAfterMin ? 'note' : 'act',
      since: linkDownSince,
      evidence: { minutes: Math.round(downMin) },
    };
  },
};
