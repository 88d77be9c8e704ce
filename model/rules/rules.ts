import { arrayTooSmall } from './array-too-small.ts';
import { arrayUnderPerforming } from './array-under-performing.ts';
import { brokerLost } from './broker-lost.ts';
import { clockWrong } from './clock-wrong.ts';
import { deviceSilent } from './device-silent.ts';
import { frozenReading } from './frozen-reading.ts';
import { irradianceSensorDirty } from './irradiance-sensor-dirty.ts';
import { jumpingReading } from './jumping-reading.ts';
import { limitReachedOften } from './limit-reached-often.ts';
import { oneCollectorDead } from './one-collector-dead.ts';
import { outdoorSensorInSun } from './outdoor-sensor-in-sun.ts';
import { pipesLosingHeat } from './pipes-losing-heat.ts';
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
  clockWrong,
  sensorOpen,
  sensorShort,
  powerOnValue,
  frozenReading,
  jumpingReading,
  outdoorSensorInSun,
  irradianceSensorDirty,
  waterTooHot,
  pumpNotRunning,
  pumpOnAtNight,
  oneCollectorDead,
  pipesLosingHeat,
  arrayUnderPerforming,
  arrayTooSmall,
  limitReachedOften,
];
