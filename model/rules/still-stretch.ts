import type { Minute } from '../minutes/minute.ts';

/** Lowest and highest of something; high is below low where nothing was seen. */
interface Range {
  low: number;
  high: number;
}

/** What else went on while a point told one and the same number. Plain data. */
export interface Stretch {
  /** When the first of the equal readings was heard [ms]. */
  since: number;
  sunMinutes: number;
  /** Minutes with the pump on, with it on in sun, with it on and the collectors warmer, and since it is off. */
  pumpMinutes: number;
  sunPumpMinutes: number;
  warmingMinutes: number;
  offMinutes: number;
  backupMinutes: number;
  /** When the pump first started in it [ms]; infinite where it did not. */
  firstStartAt: number;
  /** By how much the loop should have warmed the tub [K]. */
  gainedK: number;
  sun: Range;
  clear: Range;
  air: Range;
  collector: Range;
  /** While the pump runs. */
  collectorRunning: Range;
  tubRunning: Range;
  /** Where tub and sun should have the collectors while the pump runs. [°C] */
  expectedRunning: Range;
}

const nothing = (): Range => ({ low: 0, high: Number.NEGATIVE_INFINITY });

export const beginStretch = (since: number): Stretch => ({
  since,
  sunMinutes: 0,
  pumpMinutes: 0,
  sunPumpMinutes: 0,
  warmingMinutes: 0,
  offMinutes: 0,
  backupMinutes: 0,
  firstStartAt: Number.POSITIVE_INFINITY,
  gainedK: 0,
  sun: nothing(),
  clear: nothing(),
  air: nothing(),
  collector: nothing(),
  collectorRunning: nothing(),
  tubRunning: nothing(),
  expectedRunning: nothing(),
});

/** Collectors this much warmer than the tub warm it for certain. [K] */
const WARMER_K = 2;
const BACKUP_HEATS_W = 200;
/** W for a litre a minute and a kelvin; what of it reaches the tub at least. */
const CARRIES_W = 69.7;
const ARRIVES = 0.75;
/** A tub that loses much, in cold air. */
const LOSES_W_PER_K = 15;
const COLD_AIR_C = 5;
const WH_PER_L_K = 1.163;

/** Takes a minute in. */
export function goOn(stretch: Stretch, minute: Minute): void {
  const { states, pump, tubC, collectorC } = minute;
  if (states.sunPossible) stretch.sunMinutes++;
  widen(stretch.sun, minute.sunWPerM2);
  widen(stretch.clear, minute.clearWPerM2);
  widen(stretch.air, minute.airC);
  widen(stretch.collector, collectorC);
  if (minute.backupW !== null && minute.backupW > BACKUP_HEATS_W) stretch.backupMinutes++;
  // a pump that moves no water warms nothing
  if (states.pumpOn !== true || minute.isTold('running-without-flow')) {
    stretch.offMinutes = states.pumpOn === false ? stretch.offMinutes + 1 : 0;
    return;
  }
  const startedAt = pump.starts.at(-1);
  if (startedAt !== undefined && startedAt > stretch.since + 2 * 60_000) {
    stretch.firstStartAt = Math.min(stretch.firstStartAt, startedAt);
  }
  stretch.offMinutes = 0;
  stretch.pumpMinutes++;
  if (states.sunPossible) stretch.sunPumpMinutes++;
  widen(stretch.collectorRunning, collectorC);
  widen(stretch.tubRunning, tubC);
  if (tubC !== null && !states.settling) widen(stretch.expectedRunning, tubC + sunK(minute));
  if (!isWarming(minute)) return;
  stretch.warmingMinutes++;
  stretch.gainedK += gainedK(minute);
}

/** Whether the loop warms the tub just now. */
export function isWarming({ states, differenceK, usual }: Minute): boolean {
  if (states.pumpOn !== true || states.settling || differenceK === null) return false;
  return differenceK > WARMER_K && differenceK <= RUNS_AWAY * usual.fullSunK;
}

const FULL_SUN_W_PER_M2 = 900;

/** How far above the tub the sun should hold running collectors. [K] */
const sunK = ({ sunWPerM2, clearWPerM2, usual }: Minute): number =>
  (usual.fullSunK * (sunWPerM2 ?? clearWPerM2)) / FULL_SUN_W_PER_M2;

/** Collectors this much hotter than in full sun, as a share of it, hand their heat to no water. */
const RUNS_AWAY = 1.2;

/** What a minute of pumping warms the tub by, at the least [K]. */
export function gainedK({ lPerMin, usual, differenceK, tubC, settings }: Minute): number {
  const broughtW = (lPerMin ?? usual.lPerMin) * CARRIES_W * differenceK! * ARRIVES;
  const lostW = LOSES_W_PER_K * (tubC! - COLD_AIR_C);
  return (broughtW - lostW) / 60 / (settings.tub.litres * WH_PER_L_K);
}

function widen(range: Range, value: number | null): void {
  if (value === null) return;
  if (range.high < range.low) {
    range.low = value;
    range.high = value;
  } else if (value < range.low) range.low = value;
  else if (value > range.high) range.high = value;
}
