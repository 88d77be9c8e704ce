import { brokerLost } from './broker-lost.ts';
import { deviceSilent } from './device-silent.ts';
import { frozenReading } from './frozen-reading.ts';
import { jumpingReading } from './jumping-reading.ts';
import { powerOnValue } from './power-on-value.ts';
import { pumpNotRunning } from './pump-not-running.ts';
import { pumpOnAtNight } from './pump-on-at-night.ts';
import type { AnyRule } from './rule.ts';
import { sensorOpen } from './sensor-open.ts';
import { sensorShort } from './sensor-short.ts';
import { sensorSilent } from './sensor-silent.ts';
import { waterTooHot } from './water-too-hot.ts';

/** Every rule, roots before what they explain. */
export const rules: readonly AnyRule[] = [
  brokerLost,
  deviceSilent,
  sensorSilent,
  sensorOpen,
  sensorShort,
  powerOnValue,
  frozenReading,
  jumpingReading,
  waterTooHot,
  pumpNotRunning,
  pumpOnAtNight,
];
