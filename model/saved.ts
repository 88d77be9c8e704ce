import { airOver } from './air.ts';
import { backupHeats } from './backup-heat.ts';
import type { Span } from './civil-time.ts';
import type { TubsAtMidnight } from './day-figures.ts';
import { toldHeat } from './estimate.ts';
import { capacityUncertainty } from './evidence.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { HOUR, QUARTER } from './readings.ts';
import { isIn, type Spoilt, spoiltOf } from './spoilt.ts';
import { displaced, priceAt, type Tariff } from './tariff.ts';
import {
  backupSeen,
  efficiencyAt,
  heldBy,
  SEEN_DAYS,
  type Step,
  type Thermostat,
  thermostatOf,
} from './thermostat.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/**
 * What the sun saved: the tub's balance run a second time with the backup alone.
 *
 * The reference tub is held as the real backup was seen to hold the real one, or at the wanted
 * temperature where nothing was seen, within the backup's hours and by no more than its power. All that
 * is not the loop and not the backup (losses, baths, top-ups, sun on the cover, the filter) moves both
 * tubs alike, so that only their difference has to be reckoned on:
 *   C · dΔ/dt = loop + real backup − reference's backup − UA · Δ,  T_ref = T_tub − Δ.
 * Heat is useful as far as the reference tub's backup had to give it and the real one's had not:
 *   useful = gain − lost − ∫ UA · (T_tub − T_ref) dt − C · Δ(T_tub − T_ref).
 * Heat above the wanted temperature so only leaks faster, and what is still in the tub is not yet saved.
 */
export interface Saved {
  usefulKwh: number;
  /** In the backup's own fuel, after the electricity of pump and controller where that is the fuel. */
  savedKwh: number;
  savedMoney: number | null;
  savedCo2Kg: number | null;
  /** Standard uncertainty of usefulKwh by cause; each stays the same error from day to day. */
  uncertainty: Record<(typeof usefulCauses)[number], number>;
  /** Heat for a kWh of fuel that was worked with, and its relative standard uncertainty. */
  efficiency: number;
  efficiencyUncertainty: number;
  /** The two tubs at the end. */
  after: TubsAtMidnight;
  /** Spans in which what is needed was not heard, or was spoilt: nothing of them is counted. */
  notHeard: Span[];
}

/** What useful heat may be wrong by. */
export const usefulCauses = ['flow', 'pair', 'flowInUse', 'loss', 'capacity', 'backup'] as const;

/** How well heat of the backup is known that a bath hid, relative, k = 1. */
const PRESUMED_UNCERTAINTY = 0.3;

/** A gap longer than this is told as not counted. */
const TOLD_GAP_MS = HOUR / 6;

export interface SavedInputs {
  settings: TubSettings;
  learned: Learned;
  /** Of the day, in order. */
  quarters: readonly Quarter[];
  nights: readonly Span[];
  /** The day, as far as it has come. */
  day: Span;
  /** What faults spoil of it. */
  spoilt: readonly Spoilt[];
  /** The tubs at the end of the day before; null where there is none. */
  before: TubsAtMidnight | null;
  /** Electricity of pump and controller that day. */
  pumpKwh: number;
}

/**
 * One day's useful heat and what it spared; null without a backup, and where in no quarter both the
 * tub and the loop's heat are known.
 */
export function savedOn(inputs: SavedInputs): Saved | null {
  const { settings, learned, quarters } = inputs;
  const spoilt = spoiltOf(quarters, learned, inputs.spoilt);
  const heard = quarters.filter(
    (quarter) => quarter.tubC !== null && !spoilt.some((span) => isIn(quarter, span)),
  );
  const known = heard.filter((quarter) => toldHeat(quarter, learned).gainKwh !== null);
  if (settings.backup.kind === 'none' || known.length === 0) return null;
  const steps = stepsOf(inputs, heard);
  const seen = [...(inputs.before?.seen ?? []), backupSeen(steps, settings)].slice(-SEEN_DAYS);
  const thermostat = thermostatOf(seen, settings);
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  const lossKwPerK = learned.lossWPerK.value / 1000;

  const { before } = inputs;
  const startK = before ? before.tubC - before.referenceC : 0;
  let [excessK, heats] = [startK, before?.heats ?? false];
  const sum = { net: 0, flow: 0, pair: 0, flowInUse: 0, excessKh: 0 };
  const spared: Spared[] = [];
  const backup = backupHeats(steps, settings, thermostat);
  const presumedKwh = backup.reduce((kwh, each) => kwh + each.presumedKwh, 0);
  for (const [i, step] of steps.entries()) {
    const { quarter, netKwh } = step;
    const told = toldHeat(quarter, learned);
    sum.net += netKwh;
    sum.flow += told.flowUncertaintyKwh;
    sum.pair += told.pairUncertaintyKwh;
    sum.flowInUse += told.lossUncertaintyKwh;
    const leakedKwh = lossKwPerK * 0.25 * excessK;
    sum.excessKh += 0.25 * excessK;
    excessK += (netKwh + backup[i]!.kwh - leakedKwh) / kwhPerK;
    const reference = { t: quarter.from, tubC: quarter.tubC! - excessK, heats, kwhPerK };
    const given = heldBy(thermostat, reference, settings);
    excessK -= given.kwh / kwhPerK;
    heats = given.heats;
    if (given.kwh > 0) spared.push({ t: quarter.from, airC: step.airC, kwh: given.kwh });
  }

  const growthK = excessK - startK;
  const usefulKwh = cleared(sum.net - lossKwPerK * sum.excessKh - kwhPerK * growthK);
  const last = heard.at(-1)!;
  const tubC = last.tubC!;
  const all = steps.map(({ quarter, airC }) => ({ t: quarter.from, airC, kwh: 1 }));
  const hours = spared.length > 0 ? spared : all;
  const efficiency = efficiencyOver(hours, thermostat);
  const heldKh = 0.25 * steps.length * thermostat.uncertaintyK;
  return {
    usefulKwh,
    ...sparedFor(usefulKwh, hours, efficiency, inputs),
    uncertainty: {
      flow: sum.flow,
      pair: sum.pair,
      flowInUse: sum.flowInUse,
      loss: Math.hypot((learned.lossWPerK.uncertainty / 1000) * sum.excessKh, lossKwPerK * heldKh),
      capacity: capacityUncertainty(settings) * kwhPerK * growthK,
      backup: PRESUMED_UNCERTAINTY * presumedKwh,
    },
    efficiency,
    efficiencyUncertainty: thermostat.efficiencyUncertainty,
    after: { tubC, heardTo: last.from + QUARTER, referenceC: tubC - excessK, heats, seen },
    notHeard: silences(known, inputs.day),
  };
}

/** Less than a millijoule is what rounding left over of nothing. */
const cleared = (kwh: number): number => (Math.abs(kwh) < 1e-10 ? 0 : kwh);

/**
 * The quarters whose heat is known, each with what moved the tub since the one before. Over a gap what
 * went on is not known: both tubs went along, and nothing of it is counted.
 */
function stepsOf(inputs: SavedInputs, heard: Quarter[]) {
  const { settings, learned, quarters, nights, day, before } = inputs;
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  const lossKwPerK = learned.lossWPerK.value / 1000;
  const air = airOver(quarters, nights, settings).airC;
  const airAt = new Map(quarters.map(({ from }, i) => [from, air[i]!]));
  let fromC = before?.tubC ?? heard[0]!.tubC!;
  let last = (before ? (before.heardTo ?? day.from) : heard[0]!.from) - QUARTER;
  return heard.flatMap((quarter): Step | never[] => {
    const tubC = quarter.tubC!;
    const told = toldHeat(quarter, learned);
    const gap = quarter.from - last > QUARTER;
    const step = { quarter, fromC: gap ? tubC : fromC };
    [fromC, last] = [tubC, quarter.from];
    if (told.gainKwh === null) return [];
    const netKwh = told.gainKwh - (told.lostKwh ?? 0);
    const airC = airAt.get(quarter.from)!;
    const coolsKwh = lossKwPerK * 0.25 * (tubC - airC);
    const otherKwh = gap ? 0 : kwhPerK * (tubC - step.fromC) - netKwh + coolsKwh;
    return { ...step, netKwh, otherKwh, airC };
  });
}

/** Electricity of the pump and, as far as the day has come, of its controller [kWh]. */
export function electricityKwh(
  quarters: readonly Quarter[],
  day: Span,
  present: number,
  { pump }: TubSettings,
): number {
  const spanMs = Math.max(0, Math.min(day.to, present) - day.from);
  const standbyKwh = pump.supply === 'own-panel' ? 0 : (pump.standbyWatts * spanMs) / HOUR / 1000;
  return quarters.reduce((kwh, quarter) => kwh + (quarter.pumpKwh ?? 0), standbyKwh);
}

function sparedFor(
  usefulKwh: number,
  hours: readonly Spared[],
  efficiency: number,
  { settings, pumpKwh }: SavedInputs,
) {
  const { backup, tariff, carbonGPerKwh, place } = settings;
  const electric = backup.kind !== 'gas';
  const price = tariff && meanPriceOver(hours, tariff, place.timeZone);
  const result = displaced(
    usefulKwh,
    efficiency,
    pumpKwh,
    price ?? 0,
    (carbonGPerKwh ?? 0) / 1000,
    electric,
  );
  return {
    savedKwh: result.kwh,
    savedMoney: tariff === null ? null : result.money,
    savedCo2Kg: carbonGPerKwh === null ? null : result.co2Kg,
  };
}

/** Heat that the reference tub's backup gave in a quarter, and the air it did so in. */
interface Spared {
  t: number;
  airC: number;
  kwh: number;
}

/** Heat for a kWh of fuel over the hours in which the backup would have run. */
function efficiencyOver(hours: readonly Spared[], thermostat: Thermostat): number {
  let [heatKwh, fuelKwh] = [0, 0];
  for (const { airC, kwh } of hours) {
    heatKwh += kwh;
    fuelKwh += kwh / efficiencyAt(thermostat, airC);
  }
  return fuelKwh > 0 ? heatKwh / fuelKwh : thermostat.efficiency;
}

/** Price of the hours in which the backup would have run, by how much it would have given in each. */
function meanPriceOver(hours: readonly Spared[], tariff: Tariff, timeZone: string): number {
  let [sum, kwh] = [0, 0];
  for (const hour of hours) {
    sum += hour.kwh * priceAt(hour.t, tariff, timeZone);
    kwh += hour.kwh;
  }
  return sum / kwh;
}

/** Spans of a day between quarters that were counted, before them and after. */
function silences(counted: readonly Quarter[], day: Span): Span[] {
  const spans: Span[] = [];
  let last = day.from;
  for (const from of [...counted.map((quarter) => quarter.from), day.to]) {
    if (from - last > TOLD_GAP_MS) spans.push({ from: last, to: from });
    last = from + QUARTER;
  }
  return spans;
}
