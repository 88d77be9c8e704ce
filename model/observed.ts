import { type Course, heldCourse, overlaid, Walk } from './course.ts';
import { emptyTrace, firstAtOrAfter, type Trace, type Traces } from './readings.ts';
import { longestGapMs, type TubSettings } from './tub-settings.ts';
import { densityAt, enthalpyAt } from './water.ts';

/** What else a quarter's readings tell, for what is estimated and learned from it. */
export interface Observed {
  /**
   * Heat that the collectors would have sent to the tub at a flow of 1 l/min: ∫ k · (T_collector −
   * T_tub) dt while the pump ran. Times a flow [l/min] it is an energy [kWh].
   */
  driveKwhMinPerL: number | null;
  /** Milliseconds during which tub, collector and pump were known. */
  driveMs: number;
  /**
   * What each litre of the return pipe kept back at the pump's starts: its standing water came home
   * colder than the water that fills it when the pump stops. [kWh/l]
   */
  standingKwhPerL: number;
  collectorC: number | null; // mean
  airC: number | null; // mean
  /** Irradiation in the collectors' plane; null without a sensor. */
  sunKwhPerM2: number | null;
  /** Electricity or heat of the backup; null without a sensor. */
  backupKwh: number | null;
  /**
   * How long the cover was open: by a sensor, or because the owner told of a bath or of a change of
   * water; null where neither tells.
   */
  coverOpenMs: number | null;
  /** How long the filter pump ran; null without a sensor. */
  filterOnMs: number | null;
}

export interface ObservedInputs {
  settings: TubSettings;
  tubCourse: Course; // °C
  collector: Course; // °C
  air: Course; // °C
  pump: Course; // 1 or 0
  pumpChanges: Float64Array; // ms
  sun: Course; // W/m²
  cover: Course; // 1 shut
  backup: Course; // W
  filter: Course; // 1 running
}

const KWH_PER_W_MS = 1 / 3.6e9;
const MS_PER_MIN = 60_000;

export function observed(inputs: ObservedInputs, from: number, to: number): Observed {
  const sun = integral(inputs.sun, from, to);
  const backup = integral(inputs.backup, from, to);
  const shut = integral(inputs.cover, from, to);
  const filter = integral(inputs.filter, from, to);
  const { bathing, changingWater } = inputs.settings.owner;
  return {
    ...drive(inputs, from, to),
    standingKwhPerL: standing(inputs, from, to),
    collectorC: mean(inputs.collector, from, to),
    airC: mean(inputs.air, from, to),
    sunKwhPerM2: sun.ms > 0 ? Math.max(0, sun.sum) * KWH_PER_W_MS : null,
    backupKwh: backup.ms > 0 ? backup.sum * KWH_PER_W_MS : null,
    coverOpenMs: openMs(shut, bathing || changingWater ? to - from : null),
    filterOnMs: filter.ms > 0 ? filter.sum : null,
  };
}

const openMs = (shut: { sum: number; ms: number }, toldMs: number | null): number | null =>
  toldMs ?? (shut.ms > 0 ? shut.ms - shut.sum : null);

/** How long "running" is believed whatever the collectors say. */
const STATE_TRUSTED_MS = 10 * MS_PER_MIN;
export const STRONG_SUN_W_PER_M2 = 1200;
/** A pump that moves less than this share of its flow hardly warms a tub. */
const LEAST_FLOW_SHARE = 0.5;

/**
 * By how much collectors in the strongest sun may be warmer than the tub while water runs [K]. A pump
 * that was last heard running some time ago, and above whose tub they are hotter, has stopped unheard.
 */
function mostWarmingK({ collectors, loop }: TubSettings): number {
  const { count, areaM2, eta0 } = collectors;
  const litresPerHour = 60 * LEAST_FLOW_SHARE * loop.flowLPerMin;
  return (STRONG_SUN_W_PER_M2 * count * areaM2 * eta0) / (1000 * KWH_PER_L_K * litresPerHour);
}

/** Heat on its way per litre a minute while the pump ran; the temperatures run linearly. */
function drive(inputs: ObservedInputs, from: number, to: number) {
  const { tubCourse, collector, pump } = inputs;
  const mostK = mostWarmingK(inputs.settings);
  const tubWalk = new Walk(tubCourse, from);
  const collectorWalk = new Walk(collector, from);
  const pumpWalk = new Walk(pump, from);
  let [sum, driveMs] = [0, 0];
  for (let at = from; at < to; ) {
    const t = tubWalk.at(at);
    const c = collectorWalk.at(at);
    const p = pumpWalk.at(at);
    const end = Math.min(to, tubWalk.next(at), collectorWalk.next(at), pumpWalk.next(at));
    if (t >= 0 && c >= 0 && p >= 0) {
      driveMs += end - at;
      const middle = (at + end) / 2;
      const tubC = tubWalk.value(t, middle);
      const collectorC = collectorWalk.value(c, middle);
      const unheard = middle - pump.from[p]! > STATE_TRUSTED_MS;
      if (pump.v0[p]! > 0 && !(unheard && collectorC - tubC > mostK)) {
        const kjPerL = (enthalpyAt(collectorC) - enthalpyAt(tubC)) * densityAt(tubC);
        sum += (kjPerL / 3600) * ((end - at) / MS_PER_MIN);
      }
    }
    at = end;
  }
  return { driveKwhMinPerL: driveMs > 0 ? sum : null, driveMs };
}

/** An insulated pipe comes near the air's temperature with this time constant; 13 to 20 mm, foam. */
const PIPE_COOLS_MS = 55 * MS_PER_MIN;
/** How far before a span pump and collectors must be at hand; after that a pipe is cold. */
export const PUMP_LOOKBACK_MS = 180 * MS_PER_MIN;
const AIR_UNHEARD_C = 12;
const KWH_PER_L_K = 4.15 / 3600;

/**
 * What a start costs per litre of the way back: water comes home that has cooled since the pump last
 * stopped, while the collectors' hottest end is what they are taken for, and their sensor lags.
 */
function standing(inputs: ObservedInputs, from: number, to: number): number {
  const { tubCourse, collector, air, pump, pumpChanges, settings } = inputs;
  let sum = 0;
  for (let i = firstAtOrAfter(pumpChanges, from); i < pumpChanges.length; i++) {
    const start = pumpChanges[i]!;
    if (start >= to) break;
    const tubC = valueAt(tubCourse, start);
    if (!valueAt(pump, start) || tubC === null) continue;
    const airC = valueAt(air, start) ?? AIR_UNHEARD_C;
    const idleMs = i === 0 ? Number.POSITIVE_INFINITY : start - pumpChanges[i - 1]!;
    const warm = idleMs < PUMP_LOOKBACK_MS;
    const left = warm ? valueAt(collector, start - idleMs - 1) : null;
    const filledC = left ?? tubC + settings.controller.switchOffK;
    const stoodC = warm ? airC + (filledC - airC) * Math.exp(-idleMs / PIPE_COOLS_MS) : airC;
    const hotC = Math.max(
      tubC,
      valueAt(collector, start - 1) ?? tubC + settings.controller.switchOnK,
    );
    sum += KWH_PER_L_K * (hotC - stoodC);
  }
  return sum;
}

function valueAt(course: Course, t: number): number | null {
  const walk = new Walk(course, t);
  const piece = walk.at(t);
  return piece < 0 ? null : walk.value(piece, t);
}

/** ∫ value dt over the parts of a span where it is known, and how long those are. */
function integral(course: Course, from: number, to: number): { sum: number; ms: number } {
  const walk = new Walk(course, from);
  let [sum, ms] = [0, 0];
  for (let at = from; at < to; ) {
    const piece = walk.at(at);
    const end = Math.min(to, walk.next(at));
    if (piece >= 0) {
      sum += walk.value(piece, (at + end) / 2) * (end - at);
      ms += end - at;
    }
    at = end;
  }
  return { sum, ms };
}

function mean(course: Course, from: number, to: number): number | null {
  const { sum, ms } = integral(course, from, to);
  return ms > 0 ? sum / ms : null;
}

/** The backup's power: as heard, and where it is not, from its counter's steps. */
export function backupCourse(traces: Traces, settings: TubSettings): Course {
  const gap = (point: string) => longestGapMs(settings, point);
  const power = heldCourse(traces.get('backup/power') ?? emptyTrace, gap('backup/power'));
  const steps = stepsOf(traces.get('backup/energy') ?? emptyTrace, gap('backup/energy'));
  return overlaid(power, steps);
}

/** A counter's steps as mean powers [W]; a step back, or one over too long a gap, tells nothing. */
function stepsOf({ t, v }: Trace, gapMs: number): Course {
  const told = [...t.keys()].filter(
    (i) => i > 0 && t[i]! - t[i - 1]! <= gapMs && v[i]! >= v[i - 1]!,
  );
  const watts = Float64Array.from(told, (i) => ((v[i]! - v[i - 1]!) * 3.6e9) / (t[i]! - t[i - 1]!));
  return {
    from: Float64Array.from(told, (i) => t[i - 1]!),
    to: Float64Array.from(told, (i) => t[i]!),
    v0: watts,
    v1: watts,
    length: told.length,
  };
}
