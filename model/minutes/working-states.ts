import { MINUTE } from '../readings.ts';
import { longestGapMs, type TubSettings } from '../tub-settings.ts';
import type { Minute, WorkingStates } from './minute.ts';

/** What the states remember from minute to minute. Plain data; times [ms]. */
export interface StateMemory {
  limitUntil: number;
  bathingUntil: number;
  topUpUntil: number;
}

export const newStateMemory = (): StateMemory => ({
  limitUntil: Number.NEGATIVE_INFINITY,
  bathingUntil: Number.NEGATIVE_INFINITY,
  topUpUntil: Number.NEGATIVE_INFINITY,
});

export const unknownStates = (): WorkingStates => ({
  pumpOn: null,
  pumpMinutes: Number.POSITIVE_INFINITY,
  settling: false,
  sunPossible: false,
  dark: false,
  limitPause: false,
  bathing: false,
  topUp: false,
  freezeRun: false,
  filterRun: false,
  drained: false,
});

const SUN_POSSIBLE = { elevationDeg: 10, incidenceDeg: 75 };
const DARK_DEG = -3;
const SETTLES_MS = 5 * MINUTE;
/** The controller has its own sensor: it may pause this much below the limit, and end it this low. [K] */
const LIMIT_MARGIN_K = 0.85;
const LIMIT_ENDS_K = 1.5;
const LIMIT_LASTS_MS = 15 * MINUTE;
/** A covered tub never cools so fast; an open one does. [K/h] */
const BATHING_K_PER_H = -0.8;
const BATHING_LASTS_MS = 30 * MINUTE;
const TOP_UP_K = 0.4;
/** One step of a coarse sensor is no fall. */
const MORE_THAN_A_STEP = 1.2;
const TOP_UP_LASTS_MS = 30 * MINUTE;
const FREEZING_C = 8;
const LITRES_PER_M = 0.154; // 14 mm inside
const LITRES_PER_COLLECTOR_M2 = 0.8;

/** How long the loop's water takes to go round three times, at least five minutes [ms]. */
export function settlesMs({ loop, collectors }: TubSettings, lPerMin: number): number {
  const litres =
    LITRES_PER_M * loop.pipeMetres + LITRES_PER_COLLECTOR_M2 * collectors.count * collectors.areaM2;
  return Math.min(20 * MINUTE, Math.max(SETTLES_MS, (3 * litres * MINUTE) / lPerMin));
}

/** Works out the states of a minute whose values are set; `states` are written in place. */
export function deriveStates(minute: Minute, states: WorkingStates, memory: StateMemory): void {
  const { t, settings, pump, tubC, collectorC } = minute;
  const owner = settings.owner;
  states.pumpOn = pump.on;
  states.pumpMinutes = (t - pump.changedAt) / MINUTE;
  states.settling = t - pump.changedAt < settlesMs(settings, minute.usual.lPerMin);
  states.sunPossible =
    minute.sunDeg >= SUN_POSSIBLE.elevationDeg && minute.incidenceDeg <= SUN_POSSIBLE.incidenceDeg;
  states.dark = minute.sunDeg < DARK_DEG;
  states.drained = owner.drained;
  states.filterRun = isFilterOn(minute);
  states.freezeRun =
    pump.on === true && collectorC !== null && collectorC < FREEZING_C && states.dark;
  const limitC = Math.min(settings.tub.limitC, minute.usual.limitC ?? settings.tub.limitC);
  if (tubC !== null) {
    if (tubC >= limitC - LIMIT_MARGIN_K) memory.limitUntil = Number.POSITIVE_INFINITY;
    else if (tubC < limitC - LIMIT_ENDS_K && memory.limitUntil > t + LIMIT_LASTS_MS) {
      memory.limitUntil = t + LIMIT_LASTS_MS;
    }
  }
  states.limitPause = t < memory.limitUntil;
  const topUpK = Math.max(
    TOP_UP_K,
    MORE_THAN_A_STEP * (minute.heard['tub/temperature']?.stepK ?? 0),
  );
  if (pump.on !== true && fell(minute, 15) >= topUpK) memory.topUpUntil = t + TOP_UP_LASTS_MS;
  states.topUp = t < memory.topUpUntil;
  const rate = pump.on === true ? null : minute.slopePerH('tubC', 45);
  const cools = rate !== null && rate <= BATHING_K_PER_H && fell(minute, 45) >= 0.55;
  if (minute.coverOpen === true || cools || owner.bathing) {
    memory.bathingUntil = t + BATHING_LASTS_MS;
  }
  states.bathing = t < memory.bathingUntil;
}

/** A switch stands as it was told for a while, not for ever. */
function isFilterOn({ heard, t, settings }: Minute): boolean {
  const filter = heard['filter/running'];
  if (!filter || filter.values.length === 0) return false;
  return filter.values[0]! > 0 && t - filter.heardAt <= longestGapMs(settings, 'filter/running');
}

/** How far the tub has fallen over some minutes [K]; 0 where that is not known. */
function fell(minute: Minute, minutes: number): number {
  const before = minute.ago('tubC', minutes);
  return before === null || minute.tubC === null ? 0 : before - minute.tubC;
}
