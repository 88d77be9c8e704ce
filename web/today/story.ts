import { QUARTER } from '../../model/readings.ts';
import type { DayWithQuarters, QuarterShape } from '../../model/shapes.ts';

/** What a day's chart shows, as figures: what its text alternative says and its table lists. */

type Span = { from: number; to: number };

export interface Story {
  heat: (Span & { peakW: number; peakAt: number }) | null;
  lostKwh: number;
  water: { fromC: number; toC: number } | null;
  /** Spans in which nothing was heard. */
  gaps: Span[];
  /** Share of the day so far for which the inputs of the calculation were there. */
  coverage: number | null;
}

/** A quarter hour of the day, whether or not the ledger has a row of it. */
export interface Slot extends Span {
  quarter: QuarterShape | null;
}

/** Every quarter hour of the day up to `present` that is over, and those to come without a row. */
export function slotsOf(day: DayWithQuarters): Slot[] {
  const rows = new Map(day.quarters.map((quarter) => [Date.parse(quarter.from), quarter]));
  const end = Date.parse(day.to);
  const slots: Slot[] = [];
  for (let from = Date.parse(day.from); from < end; from += QUARTER) {
    slots.push({ from, to: from + QUARTER, quarter: rows.get(from) ?? null });
  }
  return slots;
}

const wattsOf = (kwh: number) => (kwh * 3_600_000_000) / QUARTER;

/** Mean power over a quarter hour [W]; null where it is not known. */
export const powerOf = (kwh: number | null | undefined): number | null =>
  kwh === null || kwh === undefined ? null : wattsOf(kwh);

const wasHeard = ({ quarter }: Slot) =>
  quarter !== null && (quarter.tubC !== null || quarter.coverage > 0);

export function storyOf(day: DayWithQuarters, present: number): Story {
  const past = slotsOf(day).filter(({ to }) => to <= present);
  const warm = past.filter(({ quarter }) => (quarter?.gainKwh ?? 0) > 0.005);
  const water = past.flatMap(({ quarter }) => quarter?.tubC ?? []);
  return {
    heat: heatOf(warm),
    lostKwh: past.reduce((sum, { quarter }) => sum + (quarter?.lostKwh ?? 0), 0),
    water: water.length === 0 ? null : { fromC: water[0]!, toC: water.at(-1)! },
    gaps: gapsOf(past),
    coverage:
      past.length === 0
        ? null
        : past.reduce((sum, { quarter }) => sum + (quarter?.coverage ?? 0), 0) / past.length,
  };
}

function heatOf(warm: Slot[]): Story['heat'] {
  if (warm.length === 0) return null;
  const power = (slot: Slot) => powerOf(slot.quarter?.gainKwh) ?? 0;
  const peak = warm.reduce((best, slot) => (power(slot) > power(best) ? slot : best));
  return {
    from: warm[0]!.from,
    to: warm.at(-1)!.to,
    peakW: power(peak),
    peakAt: peak.from,
  };
}

function gapsOf(past: Slot[]): Span[] {
  const gaps: Span[] = [];
  for (const slot of past) {
    if (wasHeard(slot)) continue;
    const last = gaps.at(-1);
    if (last?.to === slot.from) last.to = slot.to;
    else gaps.push({ from: slot.from, to: slot.to });
  }
  return gaps;
}

export interface Hour extends Span {
  gainKwh: number | null;
  lostKwh: number | null;
  tubC: number | null;
  estimated: boolean;
}

/** The day by clock hours, as far as it is over: sums of heat, and the water at the end of each. */
export function hoursOf(day: DayWithQuarters, present: number, minuteOf: (t: number) => number) {
  const hours: Hour[] = [];
  for (const { from, to, quarter } of slotsOf(day)) {
    if (to > present) break;
    let hour = hours.at(-1);
    if (hour === undefined || minuteOf(from) === 0) {
      hour = { from, to, gainKwh: null, lostKwh: null, tubC: null, estimated: false };
      hours.push(hour);
    }
    hour.to = to;
    if (quarter === null) continue;
    hour.gainKwh = sum(hour.gainKwh, quarter.gainKwh);
    hour.lostKwh = sum(hour.lostKwh, quarter.lostKwh);
    hour.tubC = quarter.tubC ?? hour.tubC;
    hour.estimated ||= quarter.basis !== null && quarter.basis !== 'measured';
  }
  return hours;
}

const sum = (a: number | null, b: number | null) =>
  a === null && b === null ? null : (a ?? 0) + (b ?? 0);
