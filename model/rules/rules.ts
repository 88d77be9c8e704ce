import { arrayTooSmall } from './array-too-small.ts';
import { arrayUnderPerforming } from './array-under-performing.ts';
import { backupFightsSun } from './backup-fights-sun.ts';
import { backupWithoutWarming } from './backup-without-warming.ts';
import { brokerLost } from './broker-lost.ts';
import { clockWrong } from './clock-wrong.ts';
import { collectorSensorLoose } from './collector-sensor-loose.ts';
import { collectorStagnating } from './collector-stagnating.ts';
import { controllerDisagrees } from './controller-disagrees.ts';
import { coverLeftOff } from './cover-left-off.ts';
import { deviceSilent } from './device-silent.ts';
import { flowFalling } from './flow-falling.ts';
import { flowSensorAtZero } from './flow-sensor-at-zero.ts';
import { flowSensorDrifting } from './flow-sensor-drifting.ts';
import { flowTooHigh } from './flow-too-high.ts';
import { flowWhileOff } from './flow-while-off.ts';
import { freezeDanger } from './freeze-danger.ts';
import { frozenReading } from './frozen-reading.ts';
import { heatThrownAway } from './heat-thrown-away.ts';
import { hotWaterToTub } from './hot-water-to-tub.ts';
import { irradianceSensorDirty } from './irradiance-sensor-dirty.ts';
import { jumpingReading } from './jumping-reading.ts';
import { lateStart } from './late-start.ts';
import { limitReachedOften } from './limit-reached-often.ts';
import { nightBackFlow } from './night-back-flow.ts';
import { oneCollectorDead } from './one-collector-dead.ts';
import { outdoorSensorInSun } from './outdoor-sensor-in-sun.ts';
import { pairOffset } from './pair-offset.ts';
import { pipesLosingHeat } from './pipes-losing-heat.ts';
import { powerOnValue } from './power-on-value.ts';
import { pumpNotRunning } from './pump-not-running.ts';
import { pumpOnAtNight } from './pump-on-at-night.ts';
import { pumpPowerHigh } from './pump-power-high.ts';
import { pumpPowerLow } from './pump-power-low.ts';
import type { AnyRule } from './rule.ts';
import { runningWithoutFlow } from './running-without-flow.ts';
import { sensorOpen } from './sensor-open.ts';
import { sensorShort } from './sensor-short.ts';
import { sensorSilent } from './sensor-silent.ts';
import { shortCycling } from './short-cycling.ts';
import { toAndFromSwapped } from './to-and-from-swapped.ts';
import { tubLossGrown } from './tub-loss-grown.ts';
import { tubOverheatedBySun } from './tub-overheated-by-sun.ts';
import { tubSensorOutOfWater } from './tub-sensor-out-of-water.ts';
import { waterLevelFalling } from './water-level-falling.ts';
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
  toAndFromSwapped,
  tubSensorOutOfWater,
  collectorSensorLoose,
  pairOffset,
  outdoorSensorInSun,
  irradianceSensorDirty,
  controllerDisagrees,
  waterTooHot,
  tubOverheatedBySun,
  hotWaterToTub,
  freezeDanger,
  pumpPowerHigh,
  pumpPowerLow,
  pumpNotRunning,
  runningWithoutFlow,
  collectorStagnating,
  pumpOnAtNight,
  flowSensorAtZero,
  flowWhileOff,
  flowTooHigh,
  flowSensorDrifting,
  flowFalling,
  shortCycling,
  lateStart,
  nightBackFlow,
  heatThrownAway,
  oneCollectorDead,
  pipesLosingHeat,
  arrayUnderPerforming,
  coverLeftOff,
  tubLossGrown,
  backupWithoutWarming,
  backupFightsSun,
  waterLevelFalling,
  arrayTooSmall,
  limitReachedOften,
];
