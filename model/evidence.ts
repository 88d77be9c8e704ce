import { airOver, STAND_IN } from './air.ts';
import { type CoolDown, coolDown } from './cool-down.ts';
import type { Span } from './day.ts';
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
  /** Stretches with the pump running and nothing else moving heat. */
  runs: Run[];
}

/** A stretch over which the tub's own balance tells what the loop brought. */
export interface Run {
  from: number; // ms since 1970-01-01 UTC
  to: number;
  /** ∫ k · (T_collector − T_tub) dt at 1 l/min. */
  driveKwhMinPerL: number;
  /** What the return pipe kept back at starts. */
  standingKwhPerL: number;
  riseK: number;
  /** ∫ (T_tub − T_air) dt [K·h] and how far the air may be off [K]. */
  lossKh: number;
  airUncertaintyK: number;
  /** Metered heat of the same stretch; null where it was not metered throughout. */
  meteredKwh: number | null;
}

/** How well the litres tell the heat capacity, shell and filling included; relative, k = 1. */
export const capacityUncertainty = ({ said }: TubSettings): number => (said.litres ? 0.04 : 0.15);

/** A cool-down begins this long after sunset and after the pump last ran. */
const AFTER_SUNSET_MS = 2 * HOUR;
const AFTER_PUMP_MS = HOUR;
/** Before the first start the tub rests, after the last stop its water still mixes. */
const AROUND_QUARTERS = 2;
const LEAST_RUN_QUARTERS = 4;
/** Shorter runs tell too little: predicted rise at an ordinary flow. [K] */
const LEAST_RISE_K = 0.6;
const ORDINARY_L_PER_MIN = 3;

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
    runs: runsOf(quarters, settings, day, nights),
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
  let quietSince = night.from + AFTER_SUNSET_MS;
  let best: Span | null = null;
  quarters.forEach((quarter, i) => {
    const end = quarter.from + QUARTER;
    if (quarter.pumpOnMs > 0) quietSince = Math.max(quietSince, end + AFTER_PUMP_MS);
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
  const air = heard
    ? outdoor
    : { t: collector.t, v: collector.v.map((c) => c + STAND_IN.belowAirK) };
  const capacityWhPerK = tubCapacityWhPerK(settings.tub.litres);
  return coolDown({
    tub,
    air,
    tubUncertaintyK: temperatureUncertaintyK('digital-0.5', 38),
    airUncertaintyK: heard ? 0.5 : STAND_IN.uncertaintyK,
    capacityWhPerK,
    capacityUncertaintyWhPerK: capacityUncertainty(settings) * capacityWhPerK,
  });
}

/**
 * Stretches of a day from before the pump started until after it stopped, over which the tub was
 * otherwise left alone: what starts cost is in them as it is in every day.
 */
function runsOf(
  all: readonly Quarter[],
  settings: TubSettings,
  day: Span,
  nights: readonly Span[],
): Run[] {
  const quarters = all.filter(({ from }) => from >= day.from && from < day.to);
  const disturbed = disturbances(quarters, settings);
  const air = airOver(quarters, nights);
  const isQuiet = (i: number) =>
    i < quarters.length &&
    disturbed[i] === null &&
    quarters[i]!.driveMs > 0.95 * QUARTER &&
    (i === 0 || quarters[i]!.from === quarters[i - 1]!.from + QUARTER);
  const runs: Run[] = [];
  for (let start = 0; start < quarters.length; start++) {
    if (!isQuiet(start)) continue;
    let end = start;
    while (isQuiet(end + 1)) end++;
    const run = trimmed(quarters, start, end);
    if (run) {
      const found = runBetween(quarters, air.airC, run.first, run.last);
      const foreseenK =
        (found.driveKwhMinPerL * ORDINARY_L_PER_MIN * 1000) /
        tubCapacityWhPerK(settings.tub.litres);
      if (foreseenK >= LEAST_RISE_K) runs.push({ ...found, airUncertaintyK: air.uncertaintyK });
    }
    start = end;
  }
  return runs;
}

/** From shortly before the pump's first turn to shortly after its last, as far as it is quiet. */
function trimmed(quarters: readonly Quarter[], start: number, end: number) {
  const runs = (quarter: Quarter) => quarter.pumpOnMs > 0;
  let first = start;
  while (first < end && !runs(quarters[first]!)) first++;
  let last = end;
  while (last > first && !runs(quarters[last]!)) last--;
  first = Math.max(start, first - AROUND_QUARTERS);
  last = Math.min(end, last + AROUND_QUARTERS);
  return last - first >= LEAST_RUN_QUARTERS ? { first, last } : null;
}

/** From the middle of one quarter to the middle of another; the two ends count half. */
function runBetween(
  quarters: readonly Quarter[],
  airC: readonly number[],
  first: number,
  last: number,
): Omit<Run, 'airUncertaintyK'> {
  let [drive, standing, lossKh, metered, meteredMs] = [0, 0, 0, 0, 0];
  for (let i = first; i <= last; i++) {
    const share = i === first || i === last ? 0.5 : 1;
    const quarter = quarters[i]!;
    drive += share * quarter.driveKwhMinPerL!;
    standing += share * quarter.standingKwhPerL;
    lossKh += (share * (quarter.tubC! - airC[i]!) * QUARTER) / HOUR;
    metered += share * ((quarter.gainKwh ?? 0) - (quarter.lostKwh ?? 0));
    meteredMs += share * quarter.coveredMs;
  }
  const spanMs = (last - first) * QUARTER;
  return {
    from: quarters[first]!.from + QUARTER / 2,
    to: quarters[last]!.from + QUARTER / 2,
    driveKwhMinPerL: drive,
    standingKwhPerL: standing,
    riseK: quarters[last]!.tubC! - quarters[first]!.tubC!,
    lossKh,
    meteredKwh: meteredMs > 0.98 * spanMs ? metered : null,
  };
}
