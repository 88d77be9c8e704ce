import { standIn } from './air.ts';
import { type BalanceHour, balanceHours } from './balance-hours.ts';
import type { Span } from './civil-time.ts';
import { type CoolDown, coolDown } from './cool-down.ts';
import type { Quarter } from './ledger.ts';
import { firstAtOrAfter, HOUR, QUARTER, type Trace, type Traces } from './readings.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';
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

/** How well the litres tell the heat capacity, shell and filling included; relative, k = 1. */
export const capacityUncertainty = ({ said }: TubSettings): number => (said.litres ? 0.04 : 0.15);

/** A cool-down begins this long after sunset and after the pump last ran. */
const AFTER_SUNSET_MS = 2 * HOUR;
const AFTER_PUMP_MS = HOUR;
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
  const window = night && quietWindow(quarters, night, settings);
  const cooled = window ? cooling(window, settings, traces) : null;
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

/** The longest part of a night with the pump at rest and nothing known to disturb the tub. */
function quietWindow(
  quarters: readonly Quarter[],
  night: Span,
  settings: TubSettings,
): Span | null {
  const disturbed = disturbances(quarters, settings);
  const heard = quarters.some(({ airC }) => airC !== null);
  const instead = heard ? { afterSunsetMs: 0, afterPumpMs: 0 } : standIn(settings);
  const afterPumpMs = Math.max(AFTER_PUMP_MS, instead.afterPumpMs);
  let quietSince = night.from + Math.max(AFTER_SUNSET_MS, instead.afterSunsetMs);
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

function cooling({ from, to }: Span, settings: TubSettings, traces: Traces) {
  const part = (point: string): Trace => {
    const { t, v } = usable(
      traces.get(point) ?? { t: new Float64Array(0), v: new Float64Array(0) },
      point,
      settings,
    );
    const [start, end] = [firstAtOrAfter(t, from), firstAtOrAfter(t, to)];
    return { t: t.subarray(start, end), v: v.subarray(start, end) };
  };
  const tub = part('tub/temperature');
  const outdoor = part('outdoor/temperature');
  const collector = part('collector/temperature');
  const heard = outdoor.t.length > 0;
  const instead = standIn(settings);
  const air = heard
    ? outdoor
    : { t: collector.t, v: collector.v.map((c) => c + instead.belowAirK) };
  const capacityWhPerK = tubCapacityWhPerK(settings.tub.litres);
  return coolDown({
    tub,
    air,
    tubUncertaintyK: temperatureUncertaintyK('digital-0.5', 38),
    airUncertaintyK: heard ? 0.5 : instead.uncertaintyK,
    capacityWhPerK,
    capacityUncertaintyWhPerK: capacityUncertainty(settings) * capacityWhPerK,
  });
}
