import type { Quarter } from './ledger.ts';
import { QUARTER } from './readings.ts';
import { mayRun } from './tariff.ts';
import type { TubSettings } from './tub-settings.ts';

/**
 * How the real backup was seen to work: where its thermostat switches, in the readings of the tub's own
 * sensor, and how much it gives. The reference tub is held in the same way, so that neither a sensor that
 * reads off nor a thermostat that is set lower than the owner said passes for heat of the sun.
 */

/** What one day told; null where it did not. */
export interface BackupSeen {
  /** The tub when the backup stopped, and when it started, of its own accord and not by the clock [°C]. */
  offC: number | null;
  onC: number | null;
  /** Heat over the quarters around its work, and the fuel that it drew for that [kWh]. */
  heatKwh: number;
  fuelKwh: number;
  /** Air outdoors while it drew that fuel, by its fuel [°C]; null where it drew none. */
  airC: number | null;
  /** What it gave while it worked [kW]. */
  kw: number | null;
}

/** The backup as the reference tub has it. */
export interface Thermostat {
  offC: number;
  onC: number;
  kw: number;
  /** Heat for a kWh of its fuel, relative standard uncertainty with it. */
  efficiency: number;
  efficiencyUncertainty: number;
  /** A heat pump's efficiency by the air outdoors, from cold to warm, where the set-up has it. */
  byAir: TubSettings['backup']['efficiencyAt'];
  /** The air in which a heat pump's efficiency was seen [°C]; null where it was not. */
  seenAirC: number | null;
  /** Whether it was lately seen to work. */
  isSeenToWork: boolean;
  /** How well it is known where it holds the tub, standard [K]. */
  uncertaintyK: number;
}

/** How the tub moved over a quarter hour, and what is known to have moved it. */
export interface Step {
  quarter: Quarter;
  /** The tub before and in this quarter [°C]. */
  fromC: number;
  /** Heat of the loop [kWh]. */
  netKwh: number;
  /** What the tub took in beside the loop's heat and its usual losses [kWh]. */
  otherKwh: number;
  airC: number;
}

/** How many past days tell of the backup. */
export const SEEN_DAYS = 10;
/** Share of its power above which a heater is taken to work; less may be the filter, sun, or noise. */
const WORKS = 0.35;
const LEAST_KW = 0.4;
const LEAST_FUEL_KWH = 0.01; // in a quarter hour: less is stand-by
/** A thermostat's usual band where only its upper end was seen; common practice, no source. [K] */
const USUAL_BAND_K = 0.6;
/** How far a thermostat may be from what it was set to, or is seen to be, standard. [K] */
const UNSEEN_K = 0.4;
const SEEN_K = 0.15;
/** A heat pump's COP moves with the air and the water; a plain heater's efficiency does not. */
const EFFICIENCY = { heatPump: 0.15, byAir: 0.08, seen: 0.06, gas: 0.05, electric: 0 };
/** Fuel that must have been seen before it tells a heat pump's COP. [kWh] */
const LEAST_SEEN_FUEL_KWH = 3;

/**
 * From where to where a heat pump lifts heat [K]: from some 4 K below the air to some 8 K above the tub. It
 * takes about the same share of what Carnot allows at any air; common practice, no source.
 */
const lift = (airC: number): number => Math.max(15, 38 + 8 - (airC - 4));

/** Heat for a kWh of the backup's fuel in an hour with such air. */
export function efficiencyAt(
  { efficiency, byAir, seenAirC }: Pick<Thermostat, 'efficiency' | 'byAir' | 'seenAirC'>,
  airC: number,
): number {
  if (!byAir) return seenAirC === null ? efficiency : (efficiency * lift(seenAirC)) / lift(airC);
  const next = byAir.findIndex((point) => point.airC >= airC);
  const [low, high] = [byAir[next - 1], byAir[next]];
  if (!low || !high) return (low ?? high ?? byAir.at(-1)!).efficiency;
  const share = (airC - low.airC) / (high.airC - low.airC);
  return low.efficiency + share * (high.efficiency - low.efficiency);
}

/** Whether the backup plainly worked in a quarter: by its sensor, or by what the tub did. */
export function works({ quarter, otherKwh }: Step, settings: TubSettings): boolean {
  if (quarter.backupKwh !== null) return quarter.backupKwh > LEAST_FUEL_KWH;
  const { hours } = settings.backup;
  const { timeZone } = settings.place;
  // means of quarters tell half of what was given in the quarter after
  const might = [quarter.from, quarter.from - QUARTER].some((t) => mayRun(t, hours, timeZone));
  return otherKwh > leastKwh(settings) && might;
}

/** Whether the tub fell as no usual loss makes it: a bath, a top-up, an open cover. */
export const hasFallenFast = ({ quarter, otherKwh }: Step, settings: TubSettings): boolean =>
  otherKwh < -leastKwh(settings) || (quarter.coverOpenMs ?? 0) > 0;

const leastKwh = ({ backup }: TubSettings): number =>
  Math.max(LEAST_KW, (WORKS * backup.watts) / 1000) * 0.25;

/** What a day's steps, in order, tell of the backup. */
export function backupSeen(steps: readonly Step[], settings: TubSettings): BackupSeen {
  const on = steps.map((step) => works(step, settings));
  const may = steps.map(({ quarter }) =>
    mayRun(quarter.from, settings.backup.hours, settings.place.timeZone),
  );
  const follows = (i: number) =>
    i > 0 && i < steps.length && steps[i]!.quarter.from === steps[i - 1]!.quarter.from + QUARTER;
  const [off, start]: number[][] = [[], []];
  const power: Power = { whole: [], any: [], heatKwh: 0, fuelKwh: 0, fuelKwhC: 0 };
  for (let i = 2; i + 2 < steps.length; i++) {
    if (![i - 1, i, i + 1, i + 2].every(follows)) continue;
    if ([i - 2, i - 1, i, i + 1].some((j) => hasFallenFast(steps[j]!, settings))) continue;
    const rests = !on[i + 1] && !on[i + 2] && may[i + 1] && may[i + 2];
    const rested = !on[i - 1] && !on[i - 2] && may[i - 1] && may[i - 2];
    if (on[i] && rests) off!.push(steps[i + 1]!.quarter.tubC!);
    if (on[i] && rested) start!.push(steps[i - 1]!.quarter.tubC!);
    // The sensor lags, and a counter tells late: what was given shows in the quarters around as well.
    if ([i - 1, i, i + 1].some((j) => on[j]))
      addPower(power, steps[i]!, on[i - 1]!, on[i]!, on[i + 1]!);
  }
  return {
    offC: rounded(middleOf(off!)),
    onC: rounded(middleOf(start!)),
    heatKwh: rounded(power.heatKwh)!,
    fuelKwh: rounded(power.fuelKwh)!,
    airC: power.fuelKwh > 0 ? rounded(power.fuelKwhC / power.fuelKwh) : null,
    kw: rounded(middleOf(power.whole) ?? (power.any.length > 0 ? Math.max(...power.any) : null)),
  };
}

interface Power {
  /** Of quarters in which it worked throughout, and of all in which it worked [kW]. */
  whole: number[];
  any: number[];
  heatKwh: number;
  fuelKwh: number;
  /** Air by fuel. */
  fuelKwhC: number;
}

function addPower(power: Power, step: Step, before: boolean, now: boolean, after: boolean): void {
  const { otherKwh, quarter } = step;
  power.heatKwh += otherKwh;
  power.fuelKwh += quarter.backupKwh ?? 0;
  power.fuelKwhC += (quarter.backupKwh ?? 0) * step.airC;
  if (!now) return;
  power.any.push(4 * otherKwh);
  if (before && after) power.whole.push(4 * otherKwh);
}

/** The backup by what was seen of it over some days, and by the set-up where nothing was. */
export function thermostatOf(seen: readonly BackupSeen[], settings: TubSettings): Thermostat {
  const { backup, tub } = settings;
  const offC = middleOf(seen.flatMap((day) => day.offC ?? []));
  const onC = middleOf(seen.flatMap((day) => day.onC ?? []));
  const kw = middleOf(seen.flatMap((day) => day.kw ?? []));
  const said = backup.watts / 1000;
  const likelyC =
    onC === null ? tub.targetC : Math.min(Math.max(tub.targetC, onC), onC + USUAL_BAND_K);
  const holdsC = offC ?? likelyC;
  const isSeen = offC !== null || onC !== null;
  return {
    offC: holdsC,
    onC: Math.min(holdsC, onC ?? (isSeen ? holdsC - USUAL_BAND_K : holdsC)),
    kw: kw === null || kw < LEAST_KW ? said : kw,
    ...efficiencyOf(seen, settings),
    isSeenToWork: kw !== null,
    uncertaintyK: isSeen ? SEEN_K : UNSEEN_K,
  };
}

function efficiencyOf(seen: readonly BackupSeen[], { backup }: TubSettings) {
  const said = (relative: number) => ({
    efficiency: backup.efficiency,
    efficiencyUncertainty: relative,
    byAir: null,
    seenAirC: null,
  });
  if (backup.kind === 'gas') return said(EFFICIENCY.gas);
  if (backup.kind !== 'heat-pump') return said(EFFICIENCY.electric);
  if (backup.efficiencyAt) return { ...said(EFFICIENCY.byAir), byAir: backup.efficiencyAt };
  const fuelKwh = seen.reduce((sum, day) => sum + day.fuelKwh, 0);
  if (fuelKwh < LEAST_SEEN_FUEL_KWH) return said(EFFICIENCY.heatPump);
  const heatKwh = seen.reduce((sum, day) => sum + (day.fuelKwh > 0 ? day.heatKwh : 0), 0);
  const efficiency = Math.max(1, Math.min(8, heatKwh / fuelKwh));
  const seenAirC = seen.reduce((sum, day) => sum + day.fuelKwh * (day.airC ?? 0), 0) / fuelKwh;
  return { efficiency, efficiencyUncertainty: EFFICIENCY.seen, byAir: null, seenAirC };
}

/** The reference tub's thermostat, a quarter hour on: what it gives [kWh] and whether it goes on. */
export function heldBy(
  thermostat: Thermostat,
  { t, tubC, heats, kwhPerK }: { t: number; tubC: number; heats: boolean; kwhPerK: number },
  { backup, place }: TubSettings,
): { kwh: number; heats: boolean } {
  const wants = tubC < thermostat.onC || (heats && tubC < thermostat.offC);
  if (!wants || !mayRun(t, backup.hours, place.timeZone)) return { kwh: 0, heats: wants };
  const lacking = kwhPerK * (thermostat.offC - tubC);
  const kwh = Math.min(lacking, 0.25 * thermostat.kw);
  return { kwh, heats: kwh < lacking };
}

function middleOf(values: readonly number[]): number | null {
  if (values.length === 0) return null;
  const sorted = values.toSorted((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

const rounded = <T extends number | null>(value: T) =>
  value === null ? null : Math.round(1000 * value) / 1000;
