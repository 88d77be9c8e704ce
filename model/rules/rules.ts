import { pumpNotRunning } from './pump-not-running.ts';
import { pumpOnAtNight } from './pump-on-at-night.ts';
import type { AnyRule } from './rule.ts';
import { sensorOpen } from './sensor-open.ts';
import { sensorShort } from './sensor-short.ts';
import { waterTooHot } from './water-too-hot.ts';

/** Every rule, roots before what they explain. */
export const rules: readonly AnyRule[] = [
  sensorOpen,
  sensorShort,
  waterTooHot,
  pumpNotRunning,
  pumpOnAtNight,
];
