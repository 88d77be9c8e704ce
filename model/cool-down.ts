import { averaged, coolingLine, meanOver } from './cooling-line.ts';
import { HOUR, lastAtOrBefore, MINUTE, type Trace } from './readings.ts';
import { uncertaintyOfStep } from './uncertainty.ts';

/**
 * How fast the covered tub loses heat, from a night in which nothing heated it, moved its water or
 * opened it: ln(tub − air) falls on a straight line, whose slope is UA/C.
 */

const SHORTEST_MS = 3 * HOUR;
const LONGEST_MS = 6 * HOUR;
const LONGEST_GAP_MS = 90 * MINUTE;
const LEAST_BINS = 8;
const LEAST_DIFFERENCE_K = 10;
const MOST_AIR_MOVE_K = 4;
const LEAST_DROP_K = 0.5;
const LEAST_DROP_STEPS = 8;
const LARGEST_JUMP_K = 0.3; // within 10 min
const LARGEST_RESIDUAL_K = 0.1;
/** What a sensor's steps do to the slope: between 1/N² (regular) and 1/N^1.5 (at random) for N steps. */
const STEPS_SHARE = 0.6;

/** A night's readings while pump, backup and filter were off and the cover was shut. */
export interface Night {
  tub: Trace;
  /** Air temperature around the tub: readings, or one figure for the whole night. */
  air: Trace | number;
  /** Standard uncertainty of how far the tub's sensor may be off all night [K]. */
  tubUncertaintyK: number;
  /** The same for the air temperature, what stands in for it included [K]. */
  airUncertaintyK: number;
  /** Heat capacity of water and shell. */
  capacityWhPerK: number;
  capacityUncertaintyWhPerK: number;
}

/** The loss coefficient of one night. */
export interface CoolDown {
  from: number; // ms since 1970-01-01 UTC
  to: number;
  wPerK: number;
  /** Standard uncertainty of wPerK, both parts below in it. */
  uncertaintyWPerK: number;
  /** The part that differs from night to night: noise, steps of the sensor, gusts. */
  randomWPerK: number;
  /** The part that stays: sensors that are off, and the heat capacity. */
  systematicWPerK: number;
  tubC: number; // mean
  airC: number; // mean
  dropK: number;
  residualK: number; // rms about the line
}

export type CoolDownRule =
  | 'too-short'
  | 'gap'
  | 'air-unknown'
  | 'air-moves'
  | 'air-too-warm'
  | 'drop-too-small'
  | 'jump'
  | 'not-straight';

/** Why a night says nothing about the loss coefficient. */
export interface Refusal {
  rule: CoolDownRule;
  says: string;
}

/** What the rules look at; the last three are null until a line has been drawn. */
interface Window {
  lengthMs: number;
  longestGapMs: number;
  bins: number;
  airKnown: boolean;
  airMoveK: number;
  leastDifferenceK: number;
  resolutionK: number;
  dropK: number | null;
  largestJumpK: number | null;
  residualK: number | null;
}

interface Rule {
  rule: CoolDownRule;
  refuses: (window: Window) => string | null;
}

const minutes = (ms: number): string => `${Math.round(ms / MINUTE)} min`;
const kelvins = (k: number): string => `${k.toFixed(2)} K`;

const rules: readonly Rule[] = [
  {
    rule: 'too-short',
    refuses: ({ lengthMs }) =>
      lengthMs < SHORTEST_MS
        ? `undisturbed for ${minutes(lengthMs)}, where ${minutes(SHORTEST_MS)} are needed`
        : null,
  },
  {
    rule: 'gap',
    refuses: ({ longestGapMs, bins }) =>
      longestGapMs > LONGEST_GAP_MS || bins < LEAST_BINS
        ? `too few readings of the tub: ${minutes(longestGapMs)} without any`
        : null,
  },
  {
    rule: 'air-unknown',
    refuses: ({ airKnown }) => (airKnown ? null : 'the air temperature is not known throughout'),
  },
  {
    rule: 'air-moves',
    refuses: ({ airMoveK }) =>
      airMoveK > MOST_AIR_MOVE_K
        ? `the air moved by ${kelvins(airMoveK)}, where ${MOST_AIR_MOVE_K} K are the most`
        : null,
  },
  {
    rule: 'air-too-warm',
    refuses: ({ leastDifferenceK }) =>
      leastDifferenceK < LEAST_DIFFERENCE_K
        ? `the tub was only ${kelvins(leastDifferenceK)} above the air, where ${LEAST_DIFFERENCE_K} K are needed`
        : null,
  },
  {
    rule: 'drop-too-small',
    refuses: ({ dropK, resolutionK }) => {
      const least = Math.max(LEAST_DROP_K, LEAST_DROP_STEPS * resolutionK);
      if (dropK === null || dropK >= least) return null;
      return dropK < 0
        ? `the tub rose by ${kelvins(-dropK)}`
        : `the tub fell by ${kelvins(dropK)}, where ${kelvins(least)} are needed`;
    },
  },
  {
    rule: 'jump',
    // A sensor that tells half kelvins jumps by one of its steps without anything happening.
    refuses: ({ largestJumpK, resolutionK }) =>
      largestJumpK !== null && largestJumpK > Math.max(LARGEST_JUMP_K, 1.5 * resolutionK)
        ? `the tub jumped by ${kelvins(largestJumpK)} within 10 min`
        : null,
  },
  {
    rule: 'not-straight',
    refuses: ({ residualK, resolutionK }) =>
      residualK !== null &&
      residualK > Math.hypot(LARGEST_RESIDUAL_K, uncertaintyOfStep(resolutionK))
        ? `the tub did not cool evenly: ${kelvins(residualK)} about the line`
        : null,
  },
];

/**
 * The loss coefficient from one night's cool-down.
 *
 * A longer night is judged by its last six hours: the air moves least then, and what was done to the
 * tub in the evening has settled. Air that moves is allowed for: what its departures from their mean
 * did to the tub is taken off before the line is drawn.
 *
 * @returns the coefficient [W/K], or null with every reason why the night is not good enough
 *
 * Accuracy: as its own uncertainty says; typically 3 % from the sensors, 5 % from the litres, and
 * what wind and rain make of a night.
 * Source: regression of ln(tub − air), the form of the overnight loss test of ISO 9459-2.
 * Checked by: test/physics/cool-down.test.ts.
 */
export function coolDown(night: Night): { found: CoolDown | null; refusals: Refusal[] } {
  const { t, v } = lastHours(night.tub);
  const bins = averaged({ t, v });
  const air = airOver(night.air, bins);
  const window: Window = {
    lengthMs: t.length > 0 ? t[t.length - 1]! - t[0]! : 0,
    longestGapMs: longestGap(t),
    bins: bins.t.length,
    airKnown: air !== null,
    airMoveK: air ? range(air) : 0,
    leastDifferenceK: Number.POSITIVE_INFINITY,
    resolutionK: resolutionOf(v),
    dropK: null,
    largestJumpK: null,
    residualK: null,
  };
  if (!air || bins.t.length < 3) return { found: null, refusals: refusalsOf(window) };
  const airC = meanOver(bins.t, air);
  window.leastDifferenceK = bins.v.reduce((least, tubC) => Math.min(least, tubC - airC), Infinity);
  const early = refusalsOf(window);
  if (early.length > 0) return { found: null, refusals: early };

  const line = coolingLine(bins, air, airC);
  window.dropK = line.dropK;
  window.largestJumpK = line.largestJumpK;
  window.residualK = line.residualK;
  const refusals = refusalsOf(window);
  if (refusals.length > 0) return { found: null, refusals };

  const wPerK = line.perHour * night.capacityWhPerK;
  const tubC = meanOver(bins.t, bins.v);
  const steps = window.resolutionK > 0 ? line.dropK / window.resolutionK : Infinity;
  const randomWPerK =
    wPerK * Math.hypot(line.perHourUncertainty / line.perHour, STEPS_SHARE * steps ** -1.5);
  const offset = Math.hypot(night.tubUncertaintyK, night.airUncertaintyK) / (tubC - airC);
  const systematicWPerK =
    wPerK * Math.hypot(offset, night.capacityUncertaintyWhPerK / night.capacityWhPerK);
  const found = {
    from: t[0]!,
    to: t[t.length - 1]!,
    wPerK,
    uncertaintyWPerK: Math.hypot(randomWPerK, systematicWPerK),
    randomWPerK,
    systematicWPerK,
    tubC,
    airC,
    dropK: line.dropK,
    residualK: line.residualK,
  };
  return { found, refusals };
}

function refusalsOf(window: Window): Refusal[] {
  return rules.flatMap(({ rule, refuses }) => {
    const says = refuses(window);
    return says === null ? [] : [{ rule, says }];
  });
}

function lastHours({ t, v }: Trace): Trace {
  if (t.length === 0) return { t, v };
  const first = lastAtOrBefore(t, t[t.length - 1]! - LONGEST_MS - 1) + 1;
  return { t: t.subarray(first), v: v.subarray(first) };
}

/** Air temperature at each bin's time; null where readings leave too long a hole. */
function airOver(air: Trace | number, { t }: Trace): Float64Array | null {
  if (typeof air === 'number') return new Float64Array(t.length).fill(air);
  const last = air.t.length - 1;
  const at = new Float64Array(t.length);
  for (let i = 0; i < t.length; i++) {
    const before = lastAtOrBefore(air.t, t[i]!);
    const left = Math.max(0, before);
    const right = Math.min(last, before + 1);
    if (last < 0 || nearest(air.t, left, right, t[i]!) > LONGEST_GAP_MS / 2) return null;
    const width = air.t[right]! - air.t[left]!;
    const share = width > 0 ? (t[i]! - air.t[left]!) / width : 0;
    at[i] = air.v[left]! + share * (air.v[right]! - air.v[left]!);
  }
  return at;
}

const nearest = (times: Float64Array, left: number, right: number, t: number): number =>
  Math.min(Math.abs(t - times[left]!), Math.abs(times[right]! - t));

function longestGap(t: Float64Array): number {
  let longest = 0;
  for (let i = 1; i < t.length; i++) longest = Math.max(longest, t[i]! - t[i - 1]!);
  return longest;
}

const range = (values: Float64Array): number =>
  values.reduce((high, value) => Math.max(high, value), -Infinity) -
  values.reduce((low, value) => Math.min(low, value), Infinity);

/** The sensor's step: the smallest change between two readings; 0 for one that never changes. */
function resolutionOf(v: Float64Array): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 1; i < v.length; i++) {
    const change = Math.abs(v[i]! - v[i - 1]!);
    if (change > 1e-6) least = Math.min(least, change);
  }
  return Number.isFinite(least) ? least : 0;
}

/** The loss coefficient from several nights. */
export interface LossOfNights {
  wPerK: number; // median
  uncertaintyWPerK: number; // standard uncertainty of the median
  spreadWPerK: number; // standard deviation from night to night, by the median deviation
  nights: number;
  from: number; // ms since 1970-01-01 UTC
  to: number;
}

/** Fewer nights than this leave it open whether one of them was windy. */
export const LEAST_NIGHTS = 5;

/**
 * Median of the nights' coefficients, with their spread.
 *
 * @param atLeast  with fewer nights than this the answer is null
 *
 * What stays from night to night (sensors, litres) does not average out; wind, rain and noise do.
 */
export function lossOfNights(
  nights: readonly CoolDown[],
  atLeast = LEAST_NIGHTS,
): LossOfNights | null {
  if (nights.length === 0 || nights.length < atLeast) return null;
  const wPerK = median(nights.map((night) => night.wPerK));
  const spreadWPerK = 1.4826 * median(nights.map((night) => Math.abs(night.wPerK - wPerK)));
  const ofOneNight = Math.max(spreadWPerK, median(nights.map((night) => night.randomWPerK)));
  // √(π/2): what a median of normal values scatters more than their mean; n − 1 as n are few.
  const random = (Math.sqrt(Math.PI / 2) * ofOneNight) / Math.sqrt(Math.max(1, nights.length - 1));
  const systematic = median(nights.map((night) => night.systematicWPerK));
  return {
    wPerK,
    uncertaintyWPerK: Math.hypot(random, systematic),
    spreadWPerK,
    nights: nights.length,
    from: Math.min(...nights.map((night) => night.from)),
    to: Math.max(...nights.map((night) => night.to)),
  };
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
