import { MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { Finding, Rule } from './rule.ts';

/** From here on collectors stand hot, by how much heat they lose; and cooler by so much they do not. */
const LIMITS = { evacuatedC: 110, glazedC: 95, unglazedC: 65, goneK: 10 };
/** What sets the three apart: heat that a square metre loses per kelvin, a1 and at 50 K. [W/(m²·K)] */
const LOSES = { evacuated: 2.8, unglazed: 9 };

/**
 * The collectors stand hot without flow. On purpose, while the tub is warm enough, that is worth a note;
 * without a purpose it follows from a pump that stands or moves nothing, which is told instead.
 */
export const collectorStagnating: Rule<unknown, unknown, unknown, typeof LIMITS> = {
  fault: 'collector-stagnating',
  severity: 'note',
  onMs: 10 * MINUTE,
  offMs: 30 * MINUTE,
  limits: LIMITS,
  needs: [['collector/temperature']],
  uses: ['pump/running', 'tub/temperature'],
  mutedBy: [
    'sensor-short',
    'sensor-silent',
    'to-and-from-swapped',
    'pump-not-running',
    'running-without-flow',
    'pump-power-low',
    'pump-power-high',
  ],
  minute({ collectorC, states, settings, tubC, heard }, _, __, ___, limits): Finding {
    if (collectorC === null) return 'blind';
    const hotC = hotFrom(settings, limits);
    if (states.drained || collectorC < hotC - limits.goneK) return 'gone';
    if (collectorC < hotC) return 'between';
    // where nothing tells of the pump, no other rule can say more
    const isUnseen = !['pump/running', 'pump/power', 'pump/flow'].some((point) => heard[point]);
    return {
      severity: isUnseen && !states.limitPause ? 'act' : 'note',
      evidence: { collectorC, tubC, onPurpose: states.limitPause && states.pumpOn !== true },
    };
  },
};

function hotFrom({ collectors: { a1, a2 } }: TubSettings, limits: typeof LIMITS): number {
  const lossWPerM2K = a1 + 50 * a2;
  if (lossWPerM2K >= LOSES.unglazed) return limits.unglazedC;
  return lossWPerM2K < LOSES.evacuated ? limits.evacuatedC : limits.glazedC;
}
