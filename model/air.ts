import type { Span } from './civil-time.ts';
import type { Quarter } from './ledger.ts';
import { HOUR } from './readings.ts';

/** Air temperature around the tub, for each quarter of a span, with its standard uncertainty [K]. */
export interface Air {
  airC: number[];
  uncertaintyK: number;
  heard: boolean;
}

/** A good outdoor sensor in the shade still differs from the air at the tub. [K] */
const HEARD_UNCERTAINTY_K = 1;
/**
 * Idle collectors at night sit a little below the air, since they radiate to the sky; by how much
 * depends on cloud. Common practice, no source.
 */
export const STAND_IN = { belowAirK: 1.4, uncertaintyK: 1.6 };
/** How much warmer the day is than its night, at its warmest; common practice, no source. [K] */
const DAY_SWING_K = 7;
const DAY_UNCERTAINTY_K = 4;
/** Where not even a night was heard. */
const UNHEARD = { airC: 12, uncertaintyK: 8 };

/**
 * The air as heard by an outdoor sensor; where there is none, the collectors' own temperature at
 * night stands in for it, and a plain daily swing on top of that for the day.
 *
 * @param nights  spans of the same time with the sun below the horizon
 */
export function airOver(quarters: readonly Quarter[], nights: readonly Span[]): Air {
  const heard = quarters.filter(({ airC }) => airC !== null);
  if (heard.length > quarters.length / 2) {
    let last = heard[0]!.airC!;
    const airC = quarters.map((quarter) => (last = quarter.airC ?? last));
    return { airC, uncertaintyK: HEARD_UNCERTAINTY_K, heard: true };
  }
  const night = nightC(quarters, nights);
  if (night === null) {
    const airC = quarters.map(() => UNHEARD.airC);
    return { airC, uncertaintyK: UNHEARD.uncertaintyK, heard: false };
  }
  const airC = quarters.map(({ from }) => night + DAY_SWING_K * dayShare(from, nights));
  return { airC, uncertaintyK: DAY_UNCERTAINTY_K, heard: false };
}

/** Air at night by the idle collectors: their mean over the dark quarters with the pump at rest. */
function nightC(quarters: readonly Quarter[], nights: readonly Span[]): number | null {
  const dark = quarters.filter(
    ({ from, collectorC, pumpOnMs }) =>
      collectorC !== null &&
      pumpOnMs === 0 &&
      nights.some((night) => from >= night.from + 3 * HOUR && from < night.to),
  );
  if (dark.length === 0) return null;
  const mean = dark.reduce((sum, { collectorC }) => sum + collectorC!, 0) / dark.length;
  return mean + STAND_IN.belowAirK;
}

/** 0 at night, rising to 1 in the afternoon, two hours after the middle of the day. */
function dayShare(t: number, nights: readonly Span[]): number {
  const before = nights.findLast((night) => night.to <= t);
  const after = nights.find((night) => night.from > t);
  if (!before || !after) return 0;
  const share = (t - before.to) / (after.from - before.to);
  return Math.sin(Math.PI * Math.min(1, share * 0.87)) ** 1.2;
}
