import type { FaultId } from '../rules/fault-id.ts';
import type { PastDay } from '../rules/rule.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { Minute } from './minute.ts';

/** What has been usual with a loop up to the day before, as far as it is known yet. */
export interface Usual {
  /** Flow while settled: as entered, then as measured in the first days since the filter was cleaned. */
  lPerMin: number;
  /** The pump's power with water moving; null before it was ever measured. [W] */
  pumpW: number | null;
  /** Collector less tub in full sun, settled. [K] */
  fullSunK: number;
  /** Where the controller has been seen to hold the pump off below the limit of the set-up. [°C] */
  limitC: number | null;
  /** Highest tub temperature at which the pump was ever seen to start. [°C] */
  highestStartC: number | null;
  /** Days that this rests on. */
  days: number;
}

/** What one day tells of it. */
export interface UsualOfDay {
  lPerMin: number | null;
  pumpW: number | null;
  middayK: number | null;
  highestStartC: number | null;
  /** Highest tub temperature with which the pump ran on, settled. */
  highestRunC: number | null;
  /** Tub temperatures at which the pump stopped though the collectors were hot. */
  hotStopsC: number[];
}

/** What is gathered of it over a day. Plain data. */
export interface UsualSoFar extends Omit<UsualOfDay, 'lPerMin' | 'pumpW' | 'middayK'> {
  lPerMin: number[];
  pumpW: number[];
  middayK: number[];
}

/** First days that a reference rests on. */
const REFERENCE_DAYS = 10;
const LEARNS_AFTER_DAYS = 8;
const SUNNY = { wPerM2: 600, incidenceDeg: 55 };
/** How far above its own switch-off difference a controller stops the pump only on purpose. [K] */
const HOT_STOP_ABOVE_OFF_K = 3;
/** So far at least the tub must cool before a controller ends a pause at the limit. [K] */
const LIMIT_BAND_K = 0.25;
const MOST_STOPS = 20;

/** A meter that stands while the pump runs tells nothing of what is usual. */
const STANDS_STILL_L_PER_MIN = 0.1;

/** Faults with which nothing of flow, power and warmth is usual. */
export const spoils: readonly FaultId[] = [
  'running-without-flow',
  'pump-power-low',
  'pump-power-high',
  'flow-too-high',
  'flow-sensor-at-zero',
  'collector-sensor-loose',
  'to-and-from-swapped',
  'tub-sensor-out-of-water',
];
/** Of each day's warmest moments, the days on which the sun was good: a single odd one does not tell. */
const SUNNY_DAYS = 0.75;

export const newUsualSoFar = (): UsualSoFar => ({
  lPerMin: [],
  pumpW: [],
  middayK: [],
  highestStartC: null,
  highestRunC: null,
  hotStopsC: [],
});

export function addUsual(soFar: UsualSoFar, minute: Minute): void {
  const { pumpOn, settling, pumpMinutes } = minute.states;
  const { tubC, differenceK } = minute;
  if (pumpMinutes <= 1 && tubC !== null) {
    if (pumpOn) addStart(soFar, tubC);
    else addStop(soFar, tubC, minute);
  }
  if (pumpOn !== true || settling || spoils.some(minute.isTold)) return;
  if (tubC !== null) soFar.highestRunC = Math.max(soFar.highestRunC ?? tubC, tubC);
  if (minute.lPerMin !== null && minute.lPerMin > STANDS_STILL_L_PER_MIN)
    soFar.lPerMin.push(minute.lPerMin);
  if (minute.pumpW !== null) soFar.pumpW.push(minute.pumpW);
  const sunny = minute.clearWPerM2 > SUNNY.wPerM2 && minute.incidenceDeg < SUNNY.incidenceDeg;
  if (sunny && differenceK !== null) soFar.middayK.push(differenceK);
}

/** A pump that starts again with a tub as warm as before was not stopped by a limit. */
function addStart(soFar: UsualSoFar, tubC: number): void {
  soFar.highestStartC = Math.max(soFar.highestStartC ?? tubC, tubC);
  soFar.hotStopsC = soFar.hotStopsC.filter((stopC) => stopC > tubC + LIMIT_BAND_K);
}

function addStop(soFar: UsualSoFar, tubC: number, minute: Minute): void {
  const beforeC = minute.ago('collectorC', 1);
  const hotK = minute.settings.controller.switchOffK + HOT_STOP_ABOVE_OFF_K;
  if (beforeC === null || beforeC - tubC < hotK) return;
  if (soFar.hotStopsC.length < MOST_STOPS) soFar.hotStopsC.push(tubC);
}

export function usualOfDay(soFar: UsualSoFar): UsualOfDay {
  const enough = (values: readonly number[], share: number) =>
    values.length < 20 ? null : quantile(values, share);
  return {
    lPerMin: enough(soFar.lPerMin, 0.5),
    pumpW: enough(soFar.pumpW, 0.5),
    middayK: enough(soFar.middayK, 0.9),
    highestStartC: soFar.highestStartC,
    highestRunC: soFar.highestRunC,
    hotStopsC: soFar.hotStopsC,
  };
}

/** @param days  in order, the newest last */
export function usualOf(days: readonly PastDay<UsualOfDay>[], settings: TubSettings): Usual {
  const { owner, loop, collectors, tub } = settings;
  const since = (from: number | null) => days.filter((day) => from === null || day.to > from);
  const flows = since(owner.filterCleanedAt).flatMap(({ fact }) => fact.lPerMin ?? []);
  const powers = days.flatMap(({ fact }) => fact.pumpW ?? []).slice(0, REFERENCE_DAYS);
  const midday = days.flatMap(({ fact }) => fact.middayK ?? []).slice(-60);
  const lPerMin =
    flows.length > 0 ? quantile(flows.slice(0, REFERENCE_DAYS), 0.5) : loop.flowLPerMin;
  const areaM2 = collectors.count * collectors.areaM2;
  const reckonedK = (areaM2 * 0.65 * 950) / ((Math.max(0.5, lPerMin) / 60) * 4186);
  const recent = days.slice(-30);
  const starts = recent.flatMap(({ fact }) => fact.highestStartC ?? []);
  return {
    lPerMin: Math.max(0.1, lPerMin),
    pumpW: powers.length > 0 ? quantile(powers, 0.5) : null,
    fullSunK:
      midday.length >= LEARNS_AFTER_DAYS ? Math.max(5, quantile(midday, SUNNY_DAYS)) : reckonedK,
    limitC: limitSeen(
      recent.map(({ fact }) => fact),
      tub.limitC,
    ),
    highestStartC: starts.length > 0 ? Math.max(...starts) : null,
    days: days.length,
  };
}

/** How far apart stops at one limit may lie, by sensors that lag and water in layers. [K] */
const LIMIT_SPREAD_K = 0.5;

/**
 * A limit that the controller keeps below the one of the set-up: several hot stops close together, and
 * since the first of them the pump never ran on with a tub that was clearly warmer.
 */
function limitSeen(days: readonly UsualOfDay[], limitC: number): number | null {
  const hotStopsC = days.flatMap((day) => day.hotStopsC);
  if (hotStopsC.length < 3) return null;
  const middle = quantile(hotStopsC, 0.5);
  const isClose = (stopC: number) => Math.abs(stopC - middle) <= LIMIT_SPREAD_K;
  if (middle >= limitC || hotStopsC.filter(isClose).length < 3) return null;
  const since = days.slice(days.findIndex((day) => day.hotStopsC.some(isClose)));
  const ranOn = since.some(
    ({ highestRunC }) => (highestRunC ?? middle) > middle + 2 * LIMIT_SPREAD_K,
  );
  return ranOn ? null : middle;
}

/** The value below which a share of all lie; there must be one. */
export function quantile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!;
}
