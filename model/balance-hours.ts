import { type Air, airOver } from './air.ts';
import type { Span } from './civil-time.ts';
import { minuteOfDay } from './civil-time.ts';
import { clearPlaneSun } from './expected.ts';
import type { Quarter } from './ledger.ts';
import { HOUR, QUARTER } from './readings.ts';
import type { TubSettings } from './tub-settings.ts';
import { disturbances } from './undisturbed.ts';

/**
 * The balance of the covered tub over about an hour in which nothing disturbed it: what its temperature
 * did, and everything that may have done it.
 */
export interface BalanceHour {
  /** Local hour of the day, 0…23. */
  hour: number;
  hours: number;
  riseK: number;
  /** ∫ (T_tub − T_air) dt [K·h] */
  lossKh: number;
  /** By how much lossKh is less for each kelvin that the day is warmer than was thought [h]. */
  dailyH: number;
  /** ∫ k · (T_collector − T_tub) dt at 1 l/min while the pump ran. */
  driveKwhMinPerL: number;
  /** What the return pipe kept back at starts. */
  standingKwhPerL: number;
  /** Sun in the collectors' plane, by a sensor or by the collectors themselves. */
  sunKwhPerM2: number;
  /** Heat that the loop brought, less what it carried out, as metered; null where a part was not. */
  meteredKwh: number | null;
}

const MOST_QUARTERS = 4;

/** The undisturbed hours of a span, from the middle of one quarter to the middle of another. */
export function balanceHours(
  quarters: readonly Quarter[],
  settings: TubSettings,
  nights: readonly Span[],
): BalanceHour[] {
  const disturbed = disturbances(quarters, settings);
  const air = airOver(quarters, nights, settings);
  const follows = (i: number) =>
    i > 0 &&
    i < quarters.length &&
    disturbed[i] === null &&
    disturbed[i - 1] === null &&
    quarters[i]!.from === quarters[i - 1]!.from + QUARTER &&
    quarters[i]!.driveMs > 0.9 * QUARTER;
  const hours: BalanceHour[] = [];
  for (let first = 0; first < quarters.length - 1; ) {
    let last = first;
    while (last - first < MOST_QUARTERS && follows(last + 1)) last++;
    if (last - first >= MOST_QUARTERS / 2) {
      hours.push(balanceHour(quarters, air, settings, first, last));
    }
    first = Math.max(last, first + 1);
  }
  return hours;
}

/** The two quarters at the ends count half: temperatures are taken at their middles. */
function balanceHour(
  quarters: readonly Quarter[],
  { airC, daily }: Air,
  settings: TubSettings,
  first: number,
  last: number,
): BalanceHour {
  let [lossKh, dailyH, drive, standing, sun] = [0, 0, 0, 0, 0];
  let meteredKwh: number | null = 0;
  for (let i = first; i <= last; i++) {
    const share = i === first || i === last ? 0.5 : 1;
    const quarter = quarters[i]!;
    lossKh += (share * (quarter.tubC! - airC[i]!) * QUARTER) / HOUR;
    dailyH += (share * daily[i]! * QUARTER) / HOUR;
    drive += share * (quarter.driveKwhMinPerL ?? 0);
    standing += share * quarter.standingKwhPerL;
    sun += share * sunOf(quarter, airC[i]!, settings);
    const kwh = netMetered(quarter);
    meteredKwh = meteredKwh === null || kwh === null ? null : meteredKwh + share * kwh;
  }
  const middle = (quarters[first]!.from + quarters[last]!.from + QUARTER) / 2;
  return {
    hour: Math.floor(minuteOfDay(middle, settings.place.timeZone) / 60),
    hours: ((last - first) * QUARTER) / HOUR,
    riseK: quarters[last]!.tubC! - quarters[first]!.tubC!,
    lossKh,
    dailyH,
    driveKwhMinPerL: drive,
    standingKwhPerL: standing,
    sunKwhPerM2: sun,
    meteredKwh,
  };
}

/** Metered heat of a quarter that the meter saw as a whole [kWh]. */
function netMetered({ gainKwh, lostKwh, coveredMs }: Quarter): number | null {
  if (gainKwh === null || lostKwh === null || coveredMs < 0.9 * QUARTER) return null;
  return gainKwh - lostKwh;
}

const ORDINARY_L_PER_MIN = 3.5;
const MOST_OF_CLEAR = 1.15;

/**
 * Sun in the collectors' plane over a quarter hour [kWh/m²]: measured, or from what the collectors make
 * of it, standing or giving heat; never much above a clear sky's.
 */
function sunOf(quarter: Quarter, airC: number, settings: TubSettings): number {
  if (quarter.sunKwhPerM2 !== null) return quarter.sunKwhPerM2;
  const clear = clearPlaneSun(quarter.from + QUARTER / 2, settings);
  if (!clear || quarter.collectorC === null) return 0;
  const { count, areaM2, eta0, a1, a2 } = settings.collectors;
  const given = ((quarter.driveKwhMinPerL ?? 0) * ORDINARY_L_PER_MIN * 4000) / (count * areaM2);
  const aboveK = quarter.collectorC - airC;
  const watts = (given + a1 * aboveK + a2 * aboveK * Math.abs(aboveK)) / eta0;
  const most = MOST_OF_CLEAR * (clear.beam + clear.diffuse);
  return Math.max(0, Math.min(most, watts)) / 4000;
}
