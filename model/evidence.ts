import { heardUncertaintyK, standIn } from './air.ts';
import { type BalanceHour, balanceHours } from './balance-hours.ts';
import type { Span } from './civil-time.ts';
import { type CoolDown, coolDown } from './cool-down.ts';
import type { Quarter } from './ledger.ts';
import { emptyTrace, firstAtOrAfter, HOUR, QUARTER, type Trace, type Traces } from './readings.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import { sensorClass, type TubSettings } from './tub-settings.ts';
import { temperatureUncertaintyK } from './uncertainty.ts';
import { disturbances } from './undisturbed.ts';
import { usable } from './usable.ts';

/** What one local day's readings tell of the tub and its loop; learned values rest on these alone. */
export interface Evidence {
  date: string;
  /** The night that ended on this day; null with `why` where it tells nothing. */
  night: CoolDown | null;
  why: string[];
  /** The tub's balance over the hours in which nothing disturbed it. */
  hours: BalanceHour[];
}

/**
 * How well the litres tell the heat capacity; relative, k = 1. A shell adds up to 5 % of the water's own,
 * and a tub is as often filled to less than its litres: so neither is reckoned with.
 */
export const capacityUncertainty = ({ said }: TubSettings): number => (said.litres ? 0.04 : 0.15);

/** A cool-down begins this long after sunset and after the pump last ran. */
const AFTER_SUNSET_MS = 2 * HOUR;
const AFTER_PUMP_MS = HOUR;
/** About what a tub is held at; a sensor's limit hardly depends on it. [°C] */
const TUB_C = 38;

/**
 * @param quarters  the ledger from noon of the day before to the end of the day
 * @param night  from the sunset before to the sunrise of the day
 * @param traces  readings of tub, air and collectors over that night
 */
export function evidenceOf(
  date: string,
  settings: TubSettings,
  day: Span,
  nights: readonly Span[],
  quarters: readonly Quarter[],
  traces: Traces,
): Evidence {
  const night = nightBefore(day, nights);
  const cooled = night ? cooling(night, quarters, settings, traces) : null;
  return {
    date,
    night: cooled?.found ?? null,
    why: cooled?.refusals.map(({ says }) => says) ?? ['the tub was not left alone that night'],
    hours: balanceHours(
      quarters.filter(({ from }) => from >= day.from && from < day.to),
      settings,
      nights,
    ),
  };
}

/** The night that ends on a day. */
export const nightBefore = (day: Span, nights: readonly Span[]): Span | null =>
  nights.findLast((night) => night.to > day.from && night.to < day.to) ?? null;

/** How long a night's air is waited for: after sunset, and after the pump last ran [ms]. */
interface Wait {
  afterSunsetMs: number;
  afterPumpMs: number;
}

/** The longest part of a night with the pump at rest and nothing known to disturb the tub. */
function quietWindow(
  quarters: readonly Quarter[],
  night: Span,
  settings: TubSettings,
  wait: Wait,
): Span | null {
  const disturbed = disturbances(quarters, settings);
  const afterPumpMs = Math.max(AFTER_PUMP_MS, wait.afterPumpMs);
  let quietSince = night.from + Math.max(AFTER_SUNSET_MS, wait.afterSunsetMs);
  let best: Span | null = null;
  quarters.forEach((quarter, i) => {
    const end = quarter.from + QUARTER;
    if (quarter.pumpOnMs > 0) quietSince = Math.max(quietSince, end + afterPumpMs);
    else if (disturbed[i] !== null && disturbed[i] !== 'backup') {
      quietSince = Math.max(quietSince, end + AFTER_PUMP_MS);
    } else if (disturbed[i] === 'backup' && quarter.backupKwh !== null) {
      quietSince = Math.max(quietSince, end + AFTER_PUMP_MS);
    }
    const to = Math.min(end, night.to);
    if (to - quietSince > (best ? best.to - best.from : 0)) best = { from: quietSince, to };
  });
  return best;
}

/**
 * The cool-down of a night's quiet part. Where the outdoor sensor tells nothing of it, the collectors
 * stand in, and they take longer to be as cold as the air.
 *
 * @returns null where no part of it was quiet
 */
function cooling(
  night: Span,
  quarters: readonly Quarter[],
  settings: TubSettings,
  traces: Traces,
): ReturnType<typeof coolDown> | null {
  const part = (point: string, { from, to }: Span): Trace => {
    const { t, v } = usable(traces.get(point) ?? emptyTrace, point, settings);
    const [start, end] = [firstAtOrAfter(t, from), firstAtOrAfter(t, to)];
    return { t: t.subarray(start, end), v: v.subarray(start, end) };
  };
  const first = quietWindow(quarters, night, settings, { afterSunsetMs: 0, afterPumpMs: 0 });
  const outdoor = first && part('outdoor/temperature', first);
  const heard = outdoor !== null && outdoor.t.length > 0;
  const instead = standIn(settings);
  const window = heard ? first : quietWindow(quarters, night, settings, instead);
  if (!window) return null;
  const collector = part('collector/temperature', window);
  const air = heard
    ? outdoor
    : { t: collector.t, v: collector.v.map((c) => c + instead.belowAirK) };
  const capacityWhPerK = tubCapacityWhPerK(settings.tub.litres);
  return coolDown({
    tub: part('tub/temperature', window),
    air,
    tubUncertaintyK: temperatureUncertaintyK(sensorClass(settings, 'tub/temperature'), TUB_C),
    airUncertaintyK: heard ? heardUncertaintyK(settings) : instead.uncertaintyK,
    capacityWhPerK,
    capacityUncertaintyWhPerK: capacityUncertainty(settings) * capacityWhPerK,
  });
}
