import type { Span } from './civil-time.ts';
import type { DayFigures } from './day-figures.ts';
import { toldHeat } from './estimate.ts';
import { bothBases, plus, type Quarter } from './ledger.ts';
import type { MeteredHeat } from './metered-heat.ts';
import { nightsWithin } from './night.ts';
import { notCountedOn } from './not-counted.ts';
import { HOUR, QUARTER } from './readings.ts';
import { electricityKwh, type Saved, usefulCauses } from './saved.ts';
import type { Basis, Day, DayWithQuarters, Month, QuarterShape } from './shapes.ts';
import type { TubSettings } from './tub-settings.ts';

/** The sums of some quarters as told, before they are given to a person as a Day or a Month. */
interface Sums {
  gainKwh: number | null;
  lostKwh: number | null;
  measuredKwh: number | null;
  basis: Basis;
  flow: number;
  pair: number;
  loss: number;
  coveredMs: number;
  litres: number | null;
  pumpKwh: number | null;
  pumpOnMs: number;
  pumpKnownMs: number;
  low: number | null;
  high: number | null;
}

function sumOf(days: readonly WorkedDay[]): Sums {
  const sums: Sums = {
    gainKwh: null,
    lostKwh: null,
    measuredKwh: null,
    basis: null,
    flow: 0,
    pair: 0,
    loss: 0,
    coveredMs: 0,
    litres: null,
    pumpKwh: null,
    pumpOnMs: 0,
    pumpKnownMs: 0,
    low: null,
    high: null,
  };
  for (const { quarters, figures } of days) {
    for (const quarter of quarters) {
      const told = figures ? toldHeat(quarter, figures.learned) : quarter;
      sums.gainKwh = plus(sums.gainKwh, told.gainKwh);
      sums.lostKwh = plus(sums.lostKwh, told.lostKwh);
      sums.measuredKwh = plus(sums.measuredKwh, told.measuredKwh);
      sums.basis = bothBases(sums.basis, told.basis);
      sums.flow += told.flowUncertaintyKwh;
      sums.pair += told.pairUncertaintyKwh;
      sums.loss += told.lossUncertaintyKwh;
      sums.coveredMs += told.coveredMs;
      sums.litres = plus(sums.litres, told.litres);
      sums.pumpKwh = plus(sums.pumpKwh, quarter.pumpKwh);
      sums.pumpOnMs += quarter.pumpOnMs;
      sums.pumpKnownMs += quarter.pumpKnownMs;
      if (quarter.tubLowC !== null) sums.low = Math.min(sums.low ?? 1e9, quarter.tubLowC);
      if (quarter.tubHighC !== null) sums.high = Math.max(sums.high ?? -1e9, quarter.tubHighC);
    }
  }
  return sums;
}

/** A local day: its quarters, what was worked out of it as a whole, and its span. */
export interface WorkedDay {
  date: string;
  bounds: Span;
  quarters: readonly Quarter[];
  /** null where nothing but metered heat is known of it (yet). */
  figures: DayFigures | null;
  settings: TubSettings;
  /** When the owner said that there was no water in the tub. */
  drained: readonly Span[];
}

/**
 * A local day as the sum of its quarters.
 *
 * @param until  up to when time has come [ms]; later than the day's end for a day that is over
 */
export function dayOf(day: WorkedDay, until: number): Day {
  return { date: day.date, ...figuresOf([day], day.bounds, until) };
}

/** A day with its quarters and what a chart of it needs. */
export function dayWithQuarters(worked: WorkedDay, until: number): DayWithQuarters {
  const { bounds, settings, figures, quarters } = worked;
  const { latitude, longitude } = settings.place;
  return {
    ...dayOf(worked, until),
    ...instants(bounds),
    nights: nightsWithin(bounds.from, bounds.to, latitude, longitude).map(instants),
    targetC: settings.tub.targetC,
    quarters: quarters.map((quarter) =>
      quarterShape(quarter, figures ? toldHeat(quarter, figures.learned) : quarter),
    ),
  };
}

const instants = ({ from, to }: Span) => ({
  from: new Date(from).toISOString(),
  to: new Date(to).toISOString(),
});

function quarterShape({ from, tubC }: Quarter, told: MeteredHeat): QuarterShape {
  return {
    from: new Date(from).toISOString(),
    gainKwh: told.gainKwh,
    lostKwh: told.lostKwh,
    basis: told.basis,
    coverage: Math.min(1, told.coveredMs / QUARTER),
    tubC,
    litres: told.litres,
  };
}

/**
 * A local month as the sum of its days; sensor, flow and loss errors stay the same from day to day, so
 * each adds up linearly before they are joined.
 */
export function monthOf(
  month: string,
  days: readonly WorkedDay[],
  bounds: Span,
  until: number,
): Month {
  return { month, ...figuresOf(days, bounds, until), days: days.length };
}

function figuresOf(days: readonly WorkedDay[], bounds: Span, until: number): Omit<Day, 'date'> {
  const sums = sumOf(days);
  const known = sums.coveredMs > 0;
  const spanMs = Math.max(0, Math.min(bounds.to, until) - bounds.from);
  const electricity = days.map((day) =>
    electricityKwh(day.quarters, day.bounds, until, day.settings),
  );
  const expected = days.flatMap(({ figures }) => figures?.expected ?? []);
  return {
    gainKwh: sums.gainKwh,
    lostKwh: sums.lostKwh,
    uncertaintyKwh: known ? Math.hypot(sums.flow, sums.pair, sums.loss) : null,
    measuredKwh: sums.measuredKwh,
    basis: sums.basis,
    coverage: spanMs > 0 ? Math.min(1, sums.coveredMs / spanMs) : 0,
    pumpKwh: sums.pumpKwh === null ? null : total(electricity),
    pumpHours: sums.pumpKnownMs > 0 ? sums.pumpOnMs / HOUR : null,
    litres: sums.litres,
    ...savedSums(days),
    notCounted: days.flatMap((day) => notCountedOn(day, until)),
    expectedKwh: expected.length > 0 ? total(expected.map((each) => each.expectedKwh)) : null,
    sunKwhPerM2: expected.length > 0 ? total(expected.map((each) => each.sunKwhPerM2)) : null,
    tubLowC: sums.low,
    tubHighC: sums.high,
  };
}

/**
 * Useful heat and what it spared; null where no day of the span could tell. Money and CO₂ are those of
 * all its days or of none: the sum of some would pass for the whole.
 */
function savedSums(days: readonly WorkedDay[]) {
  const saved = days.flatMap(({ figures }) => figures?.saved ?? []);
  const any = saved.length > 0;
  const currency = days.at(-1)?.settings.tariff?.currency ?? null;
  const isPriced = days.every(
    ({ figures, settings }) => !figures?.saved || settings.tariff?.currency === currency,
  );
  return {
    usefulKwh: any ? total(saved.map(({ usefulKwh }) => usefulKwh)) : null,
    usefulUncertaintyKwh: any ? Math.hypot(...doubtsOf(saved, () => 1)) : null,
    savedKwh: any ? total(saved.map(({ savedKwh }) => savedKwh)) : null,
    savedUncertaintyKwh: any ? savedUncertainty(saved) : null,
    savedMoney: isPriced ? totalOfAll(saved.map(({ savedMoney }) => savedMoney)) : null,
    currency,
    savedCo2Kg: totalOfAll(saved.map(({ savedCo2Kg }) => savedCo2Kg)),
  };
}

/**
 * Standard uncertainty of useful heat by cause, each day's times its weight: every cause is the same error
 * from day to day.
 */
const doubtsOf = (saved: readonly Saved[], weightOf: (day: Saved) => number): number[] =>
  usefulCauses.map((cause) => total(saved.map((day) => day.uncertainty[cause] * weightOf(day))));

/**
 * Doubt in the heat and in what the backup makes of its fuel, in fuel [kWh]. Each day's heat is taken by
 * its own efficiency: their quotient over a span says nothing where good and bad days cancel out.
 */
function savedUncertainty(saved: readonly Saved[]): number {
  const heat = doubtsOf(saved, ({ efficiency }) => 1 / efficiency);
  const doubts = saved.map((day) => (day.usefulKwh / day.efficiency) * day.efficiencyUncertainty);
  return Math.hypot(...heat, total(doubts));
}

const total = (amounts: readonly number[]): number =>
  amounts.reduce((sum, amount) => sum + amount, 0);

/** null where there is none, and where one of them is not known. */
const totalOfAll = (amounts: readonly (number | null)[]): number | null =>
  amounts.length > 0 && amounts.every((amount) => amount !== null) ? total(amounts) : null;
