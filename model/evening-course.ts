import type { Span } from './civil-time.ts';
import { clearPlaneSun, loopPowerW, type PlaneSun } from './expected.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { HOUR, QUARTER } from './readings.ts';
import { heldBy, type Thermostat } from './thermostat.ts';
import { dewPointC, IN_USE, openLossW, skyC, tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/** How the tub would go on from an instant if the sky let through a given share of a clear sky's sun. */
export interface Course {
  settings: TubSettings;
  learned: Learned;
  from: number;
  to: number;
  tubC: number;
  airC: number;
  /** A clear sky's sun, as `sunsAlong` gives it for this time. */
  suns: readonly (PlaneSun | null)[];
  /** Heat that the loop brings, as a share of what it would under a clear sky; 0…1. */
  clearness: number;
  /** What holds the tub in the backup's hours; null: nothing does. */
  thermostat: Thermostat | null;
  /** When the cover is off because somebody said to bathe. */
  baths: readonly Span[];
}

/** A clear sky's sun in the collectors' plane at the middle of each quarter of an hour from an instant on. */
export function sunsAlong(from: number, to: number, settings: TubSettings): (PlaneSun | null)[] {
  return Array.from({ length: Math.max(0, Math.ceil((to - from) / QUARTER)) }, (_, i) =>
    clearPlaneSun(from + (i + 0.5) * QUARTER, settings),
  );
}

/** The tub's temperature at the end [°C]: sun, controller, limit, losses, and the backup where asked. */
export function goesTo(course: Course): number {
  const { settings, learned, from, to, airC, clearness, thermostat } = course;
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  let { tubC } = course;
  let heats = false;
  for (const [i, clearSun] of course.suns.entries()) {
    const t = from + i * QUARTER;
    const hours = Math.min(QUARTER, to - t) / HOUR;
    let kw = (-learned.lossWPerK.value * (tubC - airC)) / 1000;
    if (course.baths.some((bath) => bath.from <= t && t < bath.to)) {
      kw -= bathLossW(tubC, airC, settings) / 1000;
    }
    if (clearSun && clearness > 0 && tubC < settings.tub.limitC) {
      const watts = loopPowerW(clearSun, tubC, airC, learned.flowLPerMin.value, settings);
      kw += Math.max(0, (watts * clearness) / 1000);
    }
    tubC += (kw * hours) / kwhPerK;
    if (!thermostat) continue;
    const held = heldBy(thermostat, { t, tubC, heats, kwhPerK }, settings);
    heats = held.heats;
    tubC += (held.kwh * 4 * hours) / kwhPerK;
  }
  return tubC;
}

/**
 * What is usual over an open tub; common practice, no source. The water is 0.4 m deep where the seats are
 * counted in, the evening air damp, and a fence keeps most of the wind away.
 */
const OPEN = { depthM: 0.4, humidity: 0.75, windMPerS: 0.5 };

/** How well that is known, relative, k = 1. */
export const BATH_UNCERTAINTY = 1 / 3;

/** What bathers' water loses by its surface [W]; the walls lose as ever, and the bathers' own heat is little. */
function bathLossW(waterC: number, airC: number, { tub }: TubSettings): number {
  const { depthM, humidity, windMPerS } = OPEN;
  const areaM2 = tub.litres / 1000 / depthM;
  const dewC = dewPointC(airC, humidity)!;
  const open = { areaM2, waterC, airC, humidity, windMPerS, activity: IN_USE };
  return Math.max(0, openLossW(open, skyC(airC, dewC, EVENING_SUN_TIME)));
}

/** The sky's warmth moves by less than 1 K with the hour. */
const EVENING_SUN_TIME = 19;

/**
 * What share of a clear sky's heat the loop brought of late: over the last hours before an instant in
 * which it could; null where the sun could hardly have brought anything.
 */
export function clearnessBefore(
  t: number,
  quarters: readonly Quarter[],
  netKwh: (quarter: Quarter) => number | null,
  settings: TubSettings,
  learned: Learned,
): number | null {
  let [brought, possible] = [0, 0];
  for (const quarter of quarters) {
    const age = t - quarter.from;
    if (age < QUARTER / 2 || age > LOOKS_BACK_MS || quarter.tubC === null) continue;
    if (quarter.tubC >= settings.tub.limitC - AT_LIMIT_K) continue;
    const sun = clearPlaneSun(quarter.from + QUARTER / 2, settings);
    const net = netKwh(quarter);
    if (!sun || net === null) continue;
    const airC = quarter.airC ?? quarter.tubC - 20;
    const watts = loopPowerW(sun, quarter.tubC, airC, learned.flowLPerMin.value, settings);
    const weight = Math.exp(-age / FADES_MS);
    brought += weight * net;
    possible += weight * Math.max(0, watts / 4000);
  }
  return possible > LEAST_KWH ? Math.max(0, Math.min(1.2, brought / possible)) : null;
}

const LOOKS_BACK_MS = 4 * HOUR;
const FADES_MS = 1.5 * HOUR;
/** Near the limit the controller rests on purpose. [K] */
const AT_LIMIT_K = 0.85;
const LEAST_KWH = 0.1;
