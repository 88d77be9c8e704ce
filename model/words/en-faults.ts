import { dataPathWords } from './en-faults/data-path.ts';
import { heatWords } from './en-faults/heat.ts';
import { pumpWords } from './en-faults/pump.ts';
import { sensorsWords } from './en-faults/sensors.ts';
import { waterWords } from './en-faults/water.ts';
import type { AllFaultWords } from './fault-words.ts';

/** What is said of faults, in English; apart from the other words, since no phone needs it at first. */
export const enFaults: AllFaultWords = {
  ...dataPathWords,
  ...sensorsWords,
  ...pumpWords,
  ...waterWords,
  ...heatWords,
};
