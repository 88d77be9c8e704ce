import { bothBases, plus, type Quarter } from './ledger.ts';
import { HOUR, QUARTER } from './readings.ts';
import type { Basis, Day, DayWithQuarters, Month, QuarterShape } from './shapes.ts';
import type { TubSettings } from './tub-settings.ts';

/** A span of time, `to` excluded [ms since 1970-01-01 UTC]. */
export interface Span {
  from: number;
  to: number;
}

/** The sums of some quarters, before they are given to a person as a Day or a Month. */
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

function sumOf(quarters: readonly Quarter[]): Sums {
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
  for (const quarter of quarters) {
    sums.gainKwh = plus(sums.gainKwh, quarter.gainKwh);
    sums.lostKwh = plus(sums.lostKwh, quarter.lostKwh);
    sums.measuredKwh = plus(sums.measuredKwh, quarter.measuredKwh);
    sums.basis = bothBases(sums.basis, quarter.basis);
    sums.flow += quarter.flowUncertaintyKwh;
    sums.pair += quarter.pairUncertaintyKwh;
    sums.loss += quarter.lossUncertaintyKwh;
    sums.coveredMs += quarter.coveredMs;
    sums.litres = plus(sums.litres, quarter.litres);
    sums.pumpKwh = plus(sums.pumpKwh, quarter.pumpKwh);
    sums.pumpOnMs += quarter.pumpOnMs;
    sums.pumpKnownMs += quarter.pumpKnownMs;
    if (quarter.tubLowC !== null) sums.low = Math.min(sums.low ?? 1e9, quarter.tubLowC);
    if (quarter.tubHighC !== null) sums.high = Math.max(sums.high ?? -1e9, quarter.tubHighC);
  }
  return sums;
}

/**
 * A local day as the sum of its quarters.
 *
 * @param quarters  the ledger's rows within `bounds`
 * @param bounds  first instant of the day and of the next one
 * @param until  up to when the day has come [ms]; later than its end for a day that is over
 */
export function dayOf(
  date: string,
  quarters: readonly Quarter[],
  bounds: Span,
  until: number,
  settings: TubSettings,
): Day {
  const spanMs = Math.max(0, Math.min(bounds.to, until) - bounds.from);
  return { date, ...figures(sumOf(quarters), spanMs, settings) };
}

/** A day with its quarters and what a chart of it needs. */
export function dayWithQuarters(
  day: Day,
  quarters: readonly Quarter[],
  span: Span & { nights: readonly Span[]; targetC: number },
): DayWithQuarters {
  return {
    ...day,
    ...instants(span),
    nights: span.nights.map(instants),
    targetC: span.targetC,
    quarters: quarters.map(quarterShape),
  };
}

const instants = ({ from, to }: Span) => ({
  from: new Date(from).toISOString(),
  to: new Date(to).toISOString(),
});

function quarterShape(quarter: Quarter): QuarterShape {
  return {
    from: new Date(quarter.from).toISOString(),
    gainKwh: quarter.gainKwh,
    lostKwh: quarter.lostKwh,
    basis: quarter.basis,
    coverage: Math.min(1, quarter.coveredMs / QUARTER),
    tubC: quarter.tubC,
    litres: quarter.litres,
  };
}

/**
 * A local month as the sum of its days' quarters; sensor, flow and loss errors stay the same from
 * day to day, so each adds up linearly before the three are joined.
 */
export function monthOf(
  month: string,
  quarters: readonly Quarter[],
  bounds: Span,
  until: number,
  settings: TubSettings,
  daysWithData: number,
): Month {
  const spanMs = Math.max(0, Math.min(bounds.to, until) - bounds.from);
  return { month, ...figures(sumOf(quarters), spanMs, settings), days: daysWithData };
}

function figures(sums: Sums, spanMs: number, settings: TubSettings): Omit<Day, 'date'> {
  const known = sums.coveredMs > 0;
  const standbyKwh =
    settings.pump.supply === 'own-panel' ? 0 : (settings.pump.standbyWatts * spanMs) / HOUR / 1000;
  return {
    gainKwh: sums.gainKwh,
    lostKwh: sums.lostKwh,
    uncertaintyKwh: known ? Math.hypot(sums.flow, sums.pair, sums.loss) : null,
    measuredKwh: sums.measuredKwh,
    basis: sums.basis,
    coverage: spanMs > 0 ? Math.min(1, sums.coveredMs / spanMs) : 0,
    usefulKwh: null,
    usefulUncertaintyKwh: null,
    pumpKwh: sums.pumpKwh === null ? null : sums.pumpKwh + standbyKwh,
    pumpHours: sums.pumpKnownMs > 0 ? sums.pumpOnMs / HOUR : null,
    litres: sums.litres,
    savedKwh: null,
    savedUncertaintyKwh: null,
    savedMoney: null,
    currency: settings.tariff?.currency ?? null,
    savedCo2Kg: null,
    expectedKwh: null,
    sunKwhPerM2: null,
    tubLowC: sums.low,
    tubHighC: sums.high,
    notCounted: [],
  };
}
