import { airOver } from './air.ts';
import type { Span } from './civil-time.ts';
import { toldHeat } from './estimate.ts';
import { capacityUncertainty } from './evidence.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { HOUR, QUARTER } from './readings.ts';
import { displaced, mayRun, priceAt, type Tariff } from './tariff.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';
import { disturbances } from './undisturbed.ts';

/**
 * What the sun saved: the tub's balance run a second time with the backup alone.
 *
 * The reference tub is held at the wanted temperature within the backup's hours, by no more than the
 * backup's power, and cools freely otherwise; baths and top-ups cool both. Heat is useful as far as
 * the reference tub's backup had to give it and the real one's had not:
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
  uncertainty: { flow: number; pair: number; flowInUse: number; loss: number; capacity: number };
  /** The reference tub at the end [°C]; null before the tub was ever heard. */
  referenceC: number | null;
  /** Spans in which what is needed was not heard: nothing of them is counted. */
  notHeard: Span[];
}

/** A gap longer than this is told as not counted. */
const TOLD_GAP_MS = HOUR / 6;

export interface SavedInputs {
  settings: TubSettings;
  learned: Learned;
  /** Of the day, in order. */
  quarters: readonly Quarter[];
  nights: readonly Span[];
  /** The reference tub and the real one at the end of the day before; null where there is none. */
  before: { referenceC: number; tubC: number } | null;
  /** Electricity of pump and controller that day. */
  pumpKwh: number;
}

/**
 * One day's useful heat and what it spared; null without a backup, and where in no quarter both the
 * tub and the loop's heat are known.
 */
export function savedOn(inputs: SavedInputs): Saved | null {
  const { settings, learned, quarters, nights } = inputs;
  const heard = quarters.filter(({ tubC }) => tubC !== null);
  const known = heard.filter((quarter) => toldHeat(quarter, learned).gainKwh !== null);
  if (settings.backup.kind === 'none' || known.length === 0) return null;
  const capacityKwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  const lossKwPerK = learned.lossWPerK.value / 1000;
  const air = airOver(quarters, nights).airC;
  const airAt = new Map(quarters.map(({ from }, i) => [from, air[i]!]));
  const disturbed = new Map(
    disturbances(quarters, settings).map((why, i) => [quarters[i]!.from, why]),
  );

  let tubC = inputs.before?.tubC ?? heard[0]!.tubC!;
  let referenceC = inputs.before?.referenceC ?? tubC;
  const startK = tubC - referenceC;
  const sum = { net: 0, flow: 0, pair: 0, flowInUse: 0, excessKh: 0 };
  const spared: { t: number; kwh: number }[] = [];
  let last: number | null = null;

  for (const quarter of heard) {
    const gap = last !== null && quarter.from - last > QUARTER;
    const moved = quarter.tubC! - tubC;
    const told = toldHeat(quarter, learned);
    const unknown = told.gainKwh === null;
    if (gap || unknown) referenceC += moved; // what went on is not known: both tubs went along
    if (unknown) {
      tubC = quarter.tubC!;
      last = quarter.from;
      continue;
    }
    const net = told.gainKwh! - (told.lostKwh ?? 0);
    sum.net += net;
    sum.flow += told.flowUncertaintyKwh;
    sum.pair += told.pairUncertaintyKwh;
    sum.flowInUse += told.lossUncertaintyKwh;
    const airC = airAt.get(quarter.from)!;
    const cooledK = (lossKwPerK * 0.25 * (referenceC - airC)) / capacityKwhPerK;
    const realCooledK = (lossKwPerK * 0.25 * (quarter.tubC! - airC)) / capacityKwhPerK;
    const why = disturbed.get(quarter.from);
    const bathed = !gap && (why === 'cover open' || why === 'bath or top-up');
    const shockK = bathed ? Math.min(0, moved - net / capacityKwhPerK + realCooledK) : 0;
    tubC = quarter.tubC!;
    referenceC += shockK - cooledK;
    const heatKwh = referenceHeat(quarter.from, referenceC, settings, capacityKwhPerK);
    referenceC += heatKwh / capacityKwhPerK;
    if (heatKwh > 0) spared.push({ t: quarter.from, kwh: heatKwh });
    sum.excessKh += 0.25 * (tubC - referenceC);
    last = quarter.from;
  }

  const growthK = tubC - referenceC - startK;
  const usefulKwh = sum.net - lossKwPerK * sum.excessKh - capacityKwhPerK * growthK;
  return {
    usefulKwh,
    ...sparedFor(usefulKwh, spared, inputs),
    uncertainty: {
      flow: sum.flow,
      pair: sum.pair,
      flowInUse: sum.flowInUse,
      loss: (learned.lossWPerK.uncertainty / 1000) * sum.excessKh,
      capacity: capacityUncertainty(settings) * capacityKwhPerK * growthK,
    },
    referenceC,
    notHeard: silences(known),
  };
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

/** Heat that the backup alone would give the reference tub in a quarter hour [kWh]. */
function referenceHeat(
  t: number,
  referenceC: number,
  { tub, backup, place }: TubSettings,
  capacityKwhPerK: number,
): number {
  const lacking = capacityKwhPerK * (tub.targetC - referenceC);
  if (lacking <= 0 || !mayRun(t, backup.hours, place.timeZone)) return 0;
  return Math.min(lacking, (backup.watts / 1000) * 0.25);
}

function sparedFor(
  usefulKwh: number,
  spared: readonly { t: number; kwh: number }[],
  { settings, quarters, pumpKwh }: SavedInputs,
) {
  const { backup, tariff, carbonGPerKwh, place } = settings;
  const electric = backup.kind !== 'gas';
  const hours = spared.length > 0 ? spared : quarters.map(({ from }) => ({ t: from, kwh: 1 }));
  const price = tariff && meanPriceOver(hours, tariff, place.timeZone);
  const result = displaced(
    usefulKwh,
    backup.efficiency,
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

/** Price of the hours in which the backup would have run, by how much it would have given in each. */
function meanPriceOver(
  hours: readonly { t: number; kwh: number }[],
  tariff: Tariff,
  timeZone: string,
): number {
  let [sum, kwh] = [0, 0];
  for (const hour of hours) {
    sum += hour.kwh * priceAt(hour.t, tariff, timeZone);
    kwh += hour.kwh;
  }
  return sum / kwh;
}

/** Spans between quarters that were counted. */
function silences(counted: readonly Quarter[]): Span[] {
  const spans: Span[] = [];
  let last: number | null = null;
  for (const { from } of counted) {
    if (last !== null && from - last > TOLD_GAP_MS) spans.push({ from: last, to: from });
    last = from + QUARTER;
  }
  return spans;
}
