import { MINUTE } from '../readings.ts';
import type { Finding, Rule } from './rule.ts';

const NOTE_MS = 2 * MINUTE;
const ACT_MS = 15 * MINUTE;

/** Nothing at all can be heard: the broker does not answer. Known live only. */
export const brokerLost: Rule = {
  fault: 'broker-lost',
  severity: 'note',
  onMs: 0,
  offMs: MINUTE,
  needs: [],
  mutedBy: [],
  minute({ t, outside: { linkDownSince } }): Finding {
    if (linkDownSince === null) return 'gone';
    const downMs = t - linkDownSince;
    if (downMs < NOTE_MS) return 'between';
    return {
      severity: downMs < ACT_MS ? 'note' : 'act',
      since: linkDownSince,
      evidence: { minutes: Math.round(downMs / MINUTE) },
    };
  },
};
