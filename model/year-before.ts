import type { Basis } from './shapes.ts';

/**
 * Why a month, or the part of it that is over, differs from the same days a year before, as far as the
 * data can say it. What was saved is heat from the sun times the share of it that was of use:
 * - the heat: on how many days it was heard, how much sun the collectors had, what the loop made of it;
 * - the share: how much heat the tub lost outdoors, and how much went with baths.
 * So a cause is named only where the part that it acts on went the way that it takes it, and only one:
 * that of the largest part.
 */

/** The same days of one year. */
export interface Stretch {
  /** Of how many of its days anything is known. */
  days: number;
  gainKwh: number | null;
  basis: Basis;
  /** What was saved; null: not known, or there is no backup. */
  savedKwh: number | null;
  /** Sun that a sensor measured in the collectors' plane [kWh/m²]; null: no sensor, or not throughout. */
  sunKwhPerM2: number | null;
  /** Mean outdoor temperature; null: no sensor, or not throughout. */
  outdoorC: number | null;
  /** Baths in the log; null: none are entered, so that their number tells nothing. */
  baths: number | null;
}

export type Cause =
  | { kind: 'fewer-days' | 'more-days'; days: number; daysBefore: number }
  /** Relative change of the sun on the collectors for each day heard. */
  | { kind: 'sunnier' | 'less-sun'; change: number }
  /** Relative change of the heat that came for the same sun. */
  | { kind: 'more-yield' | 'less-yield'; change: number }
  | { kind: 'warmer' | 'colder'; deltaK: number }
  | { kind: 'more-baths' | 'fewer-baths'; baths: number; bathsBefore: number }
  /** More or less heat came, and no sensor tells whether it was the sky or the loop. */
  | { kind: 'more-heat' | 'less-heat'; change: number };

export interface Comparison {
  /** What is compared: what was saved, or the heat where that is not known of both. */
  of: 'saved' | 'heat';
  /** This year's less last year's. */
  differenceKwh: number;
  /** null: they are alike, or nothing that is measured tells why they are not. */
  cause: Cause | null;
  alike: boolean;
}

/** Sums that differ by less are alike: a relative change, and one in kWh for months of little sun. */
const ALIKE = 0.1;
const ALIKE_KWH = 3;
/** A part that changed less is no cause. */
const LEAST = 0.05;
const LEAST_K = 1;
const FEWEST_DAYS = 3;

/** null where one of the two years tells too little, or was not worked out in the same way. */
export function withYearBefore(now: Stretch, before: Stretch): Comparison | null {
  if (now.days < FEWEST_DAYS || before.days < FEWEST_DAYS) return null;
  if ((now.basis === 'measured') !== (before.basis === 'measured')) return null;
  const saved = now.savedKwh !== null && before.savedKwh !== null;
  const [sum, was] = saved
    ? [now.savedKwh!, before.savedKwh!]
    : [now.gainKwh ?? Number.NaN, before.gainKwh ?? Number.NaN];
  if (!Number.isFinite(sum) || !Number.isFinite(was)) return null;
  const differenceKwh = sum - was;
  const alike = Math.abs(differenceKwh) < Math.max(ALIKE_KWH, ALIKE * Math.abs(was));
  const cause = alike ? null : causeOf(now, before, Math.sign(differenceKwh), saved);
  return { of: saved ? 'saved' : 'heat', differenceKwh, cause, alike };
}

/** A cause, and how much of the change it can have made, as the logarithm of a ratio. */
interface Part {
  cause: Cause | null;
  log: number;
}

function causeOf(now: Stretch, before: Stretch, sign: number, saved: boolean): Cause | null {
  const parts = [daysPart(now, before), ...heatParts(now, before)];
  if (saved) parts.push(sharePart(now, before));
  const fitting = parts.filter(({ log }) => log * sign > LEAST);
  fitting.sort((a, b) => Math.abs(b.log) - Math.abs(a.log));
  return fitting[0]?.cause ?? null;
}

/** NaN where it cannot be told, which fits nothing. */
const logOf = (value: number | null, was: number | null): number =>
  value === null || was === null || value <= 0 || was <= 0 ? Number.NaN : Math.log(value / was);

function daysPart(now: Stretch, before: Stretch): Part {
  const log = logOf(now.days, before.days);
  const kind = log < 0 ? 'fewer-days' : 'more-days';
  return { cause: { kind, days: now.days, daysBefore: before.days }, log };
}

/** Heat for each day heard: by the sun that there was, and by what came of it. */
function heatParts(now: Stretch, before: Stretch): Part[] {
  const days = logOf(now.days, before.days);
  const heat = logOf(now.gainKwh, before.gainKwh) - days;
  const sun = logOf(now.sunKwhPerM2, before.sunKwhPerM2) - days;
  const change = (log: number) => Math.expm1(log);
  if (Number.isNaN(sun)) {
    const kind = heat < 0 ? 'less-heat' : 'more-heat';
    return [{ cause: { kind, change: change(heat) }, log: heat }];
  }
  const made = heat - sun;
  return [
    { cause: { kind: sun < 0 ? 'less-sun' : 'sunnier', change: change(sun) }, log: sun },
    { cause: { kind: made < 0 ? 'less-yield' : 'more-yield', change: change(made) }, log: made },
  ];
}

/** How much of the heat was of use: more where the tub needed more. */
function sharePart(now: Stretch, before: Stretch): Part {
  const log = logOf(now.savedKwh, before.savedKwh) - logOf(now.gainKwh, before.gainKwh);
  return { cause: needOf(now, before, Math.sign(log)), log };
}

/** What made the tub need more heat (sign 1), or less; a colder month before baths, which are fewer. */
function needOf(now: Stretch, before: Stretch, sign: number): Cause | null {
  const { outdoorC, baths } = now;
  if (outdoorC !== null && before.outdoorC !== null) {
    const deltaK = outdoorC - before.outdoorC;
    if (-deltaK * sign >= LEAST_K) return { kind: deltaK > 0 ? 'warmer' : 'colder', deltaK };
  }
  if (baths === null || before.baths === null) return null;
  const more = (baths - before.baths) * sign;
  if (more < 2 || more < 0.2 * Math.max(baths, before.baths)) return null;
  const kind = sign > 0 ? 'more-baths' : 'fewer-baths';
  return { kind, baths, bathsBefore: before.baths };
}
