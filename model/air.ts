import type { Span } from './civil-time.ts';
import type { Quarter } from './ledger.ts';
import { HOUR, QUARTER } from './readings.ts';
import { sensorClass, type TubSettings } from './tub-settings.ts';
import { temperatureUncertaintyK } from './uncertainty.ts';

/** Air temperature around the tub, for each quarter of a span. */
export interface Air {
  airC: number[];
  /** How far each figure moves with what the day is warmer than its nights, K per K; 0 where heard. */
  daily: number[];
}

/** By how much the air at the tub differs at night from that at an outdoor sensor in the shade; k = 1. [K] */
const ELSEWHERE_K = 0.4;
/**
 * Idle collectors at night sit below the air, since they radiate to the sky; by how much depends on
 * cloud. In a vacuum the absorber hardly sees it. Common practice, no source.
 */
const STAND_IN = { glazedK: 1.4, evacuatedK: 0.5, uncertaintyK: 1.6 };
/** A collector that loses less than this is an evacuated one [W/(m²·K)]. */
const EVACUATED_A1 = 2.5;
/**
 * Collectors come down to the air within some of their time constants, about 8 kJ/(m²·K) by a1, after
 * sunset and after water last ran in them.
 */
const COMES_DOWN = { afterSunset: 4 * HOUR, afterPump: 10 * HOUR }; // by a1
const LONGEST = { afterSunset: 3 * HOUR, afterPump: 5 * HOUR };
/**
 * How much warmer the day is at its warmest than a straight line from dawn to dusk; common practice,
 * no source. [K]
 */
export const DAY_SWING = { meanK: 4, uncertaintyK: 2 };
/** Where not even a night was heard. */
const UNHEARD_C = 12;

/** How well an outdoor sensor tells the air at the tub at night; k = 1. [K] */
export const heardUncertaintyK = (settings: TubSettings): number =>
  Math.hypot(
    temperatureUncertaintyK(sensorClass(settings, 'outdoor/temperature'), UNHEARD_C),
    ELSEWHERE_K,
  );

/** How idle collectors at night tell the air: so much is added [K], and from when on. */
export function standIn({ collectors: { a1 } }: TubSettings) {
  return {
    belowAirK: a1 < EVACUATED_A1 ? STAND_IN.evacuatedK : STAND_IN.glazedK,
    uncertaintyK: STAND_IN.uncertaintyK,
    afterSunsetMs: Math.min(LONGEST.afterSunset, COMES_DOWN.afterSunset / a1),
    afterPumpMs: Math.min(LONGEST.afterPump, COMES_DOWN.afterPump / a1),
  };
}

/**
 * The air as heard by an outdoor sensor; where there is none, the collectors' own temperature at
 * night stands in for it, and by day a line from dawn to dusk with a plain daily swing on top.
 *
 * @param nights  spans of the same time with the sun below the horizon
 */
export function airOver(
  quarters: readonly Quarter[],
  nights: readonly Span[],
  settings: TubSettings,
): Air {
  const heard = quarters.filter(({ airC }) => airC !== null);
  if (heard.length > quarters.length / 2) {
    let last = heard[0]!.airC!;
    const airC = quarters.map((quarter) => (last = quarter.airC ?? last));
    return { airC, daily: airC.map(() => 0) };
  }
  const instead = standIn(settings);
  const line = byCollectors(quarters, nights, instead);
  const daily = quarters.map(({ from }) => dayShare(from, nights, instead.afterSunsetMs));
  if (line === null) {
    return { airC: quarters.map(() => UNHEARD_C), daily };
  }
  const airC = line.map((c, i) => c + instead.belowAirK + DAY_SWING.meanK * daily[i]!);
  return { airC, daily };
}

/**
 * The collectors' temperature in each quarter in which they are as cold as the air, and a line from
 * one such to the next [°C]; null where there is none.
 */
function byCollectors(
  quarters: readonly Quarter[],
  nights: readonly Span[],
  { afterSunsetMs, afterPumpMs }: ReturnType<typeof standIn>,
): number[] | null {
  const told: number[] = []; // indices
  let restsSince = Number.NEGATIVE_INFINITY;
  quarters.forEach(({ from, collectorC, pumpOnMs }, i) => {
    if (pumpOnMs > 0) restsSince = from + QUARTER;
    const dark = nights.some((night) => from >= night.from + afterSunsetMs && from < night.to);
    if (dark && collectorC !== null && from >= restsSince + afterPumpMs) told.push(i);
  });
  if (told.length === 0) return null;
  let next = 0;
  return quarters.map(({ from }, i) => {
    while (next < told.length && told[next]! < i) next++;
    const after = quarters[told[Math.min(next, told.length - 1)]!]!;
    const before = quarters[told[Math.max(0, told[next] === i ? next : next - 1)]!]!;
    const width = after.from - before.from;
    const share = width > 0 ? Math.max(0, Math.min(1, (from - before.from) / width)) : 0;
    return before.collectorC! + share * (after.collectorC! - before.collectorC!);
  });
}

/** 0 at night, rising to 1 in the middle of the day and back to 0 some time after sunset. */
function dayShare(t: number, nights: readonly Span[], afterSunsetMs: number): number {
  const before = nights.findLast((night) => night.to <= t);
  const after = nights.find((night) => night.from + afterSunsetMs > t);
  if (!before || !after || after.from < before.to) return 0;
  const share = (t - before.to) / (after.from + afterSunsetMs - before.to);
  return Math.sin(Math.PI * share) ** 1.2;
}
