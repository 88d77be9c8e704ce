import { type PointType, pointType } from '../points.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { impossible, isPowerOn } from '../usable.ts';

/**
 * What is known of one point's readings as they come, minute after minute. Plain data that grows no
 * longer with time, so that it can be copied; values are corrected, `raw` is as it was heard.
 */
export interface HeardPoint {
  type: PointType;
  heardAt: number; // ms: newest reading of any value
  raw: number;
  /** Since when every reading has been bit for bit the same, and how many they are. */
  sameSince: number;
  sameCount: number;
  /** Newest values that can be, at most three, newest first, and their times [ms]. */
  values: number[];
  times: number[];
  /** Impossible readings in a row that the newest ends: below what can be, and above it. */
  open: { count: number; since: number };
  short: { count: number; since: number };
  /** Times of power-on values that were dropped, and of jumps that came back, of the last day. */
  powerOns: number[];
  jumps: number[];
  /** A step that may turn out to be a jump. */
  step: { from: number; at: number; later: number } | null;
  /** Times between the newest readings [ms], in no order; below 0 where the value was told again. */
  gaps: number[];
  gapAt: number;
  /** Median of them [ms]; null before there are three. */
  usualGapMs: number | null;
  /**
   * The interval at which it was seen to tell unchanged values again [ms]: it speaks whether or not
   * something changes. null before that was seen, and once it was seen to rest for longer.
   */
  steadyGapMs: number | null;
  /** The longest gap of the last days [ms]; it fades. */
  longestGapMs: number;
  /**
   * How long the point may be silent before that is worth a word [ms]: three of its usual intervals, at
   * least five minutes; of one that may speak only when something changes, three of its longest, at
   * least an hour, and longer while it is little known.
   */
  patienceMs: number;
  /** Smallest step between different values: the sensor's resolution; 0 before there was one. */
  stepK: number;
}

const GAPS = 61;
/** After how many readings the usual interval is looked at anew. */
const LOOK_EVERY = 64;
/** After fewer readings little is known of a point that waits for a change. */
const FEW = 30;
/** How many unchanged values among the newest, at its usual interval, show that a point does not wait for a change. */
const TOLD_AGAIN = 6;
/** A share of gaps that are near the usual one; of a point that waits for a change few are. */
const EVEN_SHARE = 0.7;
/** How many rests among the newest gaps, longer than a steady point's patience, are no outages. */
const RESTS = 3;
/** Over how long a long gap is forgotten; longer ones are outages. [ms] */
const FADES_MS = 14 * 24 * HOUR;
const LONGEST_GAP_MS = 4 * HOUR;
const DAY = 24 * HOUR;
/** Readings farther apart than this tell nothing of jumps. [ms] */
const JUMP_WITHIN_MS = 90_000;
/** Places that can reach this are collectors, which can be quick. [°C] */
const QUICK_FROM_C = 200;
/** From one reading to the next, what is heated moves by no more, nor ever farther past its limit. */
const GROWS = { k: 3, quickK: 10, withinMs: 15 * MINUTE, mostPastK: 40 };
/** After so long without a jump a point is calm again. [ms] */
const CALM_MS = 6 * HOUR;
/** The same for places that can reach no more than this: water that stands, and air. [°C] */
const STILL_UP_TO_C = 60;
const STILL_JUMP_WITHIN_MS = 4 * MINUTE;
/** Within how many readings a jump has to come back. */
const JUMP_READINGS = 3;

export function newPoint(point: string): HeardPoint {
  return {
    type: pointType(point)!,
    heardAt: Number.NEGATIVE_INFINITY,
    raw: 0,
    sameSince: 0,
    sameCount: 0,
    values: [],
    times: [],
    open: { count: 0, since: 0 },
    short: { count: 0, since: 0 },
    powerOns: [],
    jumps: [],
    step: null,
    gaps: [],
    gapAt: 0,
    usualGapMs: null,
    steadyGapMs: null,
    longestGapMs: 0,
    patienceMs: LONGEST_GAP_MS,
    stepK: 0,
  };
}

/** Takes the next reading; readings come in the order of their times. */
export function hear(
  heard: HeardPoint,
  t: number,
  raw: number,
  { factor = 1, offset = 0 }: { factor?: number | undefined; offset?: number | undefined },
): void {
  if (heard.heardAt > 0) addGap(heard, t - heard.heardAt, raw === heard.raw);
  if (raw === heard.raw && heard.sameCount > 0) heard.sameCount++;
  else {
    const step = Math.abs(raw - heard.raw);
    if (heard.sameCount > 0 && (heard.stepK === 0 || step < heard.stepK)) heard.stepK = step;
    heard.sameSince = t;
    heard.sameCount = 1;
  }
  heard.heardAt = t;
  heard.raw = raw;
  const last = heard.values[0];
  const lastAt = heard.times[0];
  const lastRaw = last === undefined ? null : (last - offset) / factor;
  const hasGrown = lastRaw !== null && growsPast(heard.type, raw, lastRaw, t - lastAt!);
  const why = hasGrown ? null : impossible(raw, heard.type);
  count(heard.open, why === 'open', t);
  count(heard.short, why === 'short', t);
  const powerOn = isPowerOn(raw, heard.type, lastRaw, t - (lastAt ?? 0), heard.patienceMs);
  if (powerOn) remember(heard.powerOns, t);
  if (powerOn || why !== null) return;
  const value = raw * factor + offset;
  if (last !== undefined && heard.type.kind === 'temperature') {
    lookForJump(heard, t, value, last, t - lastAt!);
    if (heard.step && hasJumpedLately(heard, t)) return;
  }
  push(heard.values, value);
  push(heard.times, t);
}

/**
 * Whether a value above what its place can reach was come to by degrees: wires that touch leap there;
 * a tub whose heater never stops, and collectors that stand dry, do not.
 */
function growsPast(
  { kind, high }: PointType,
  raw: number,
  lastRaw: number,
  ageMs: number,
): boolean {
  if (kind !== 'temperature' || raw <= high || raw > high + GROWS.mostPastK) return false;
  const leapK = high >= QUICK_FROM_C ? GROWS.quickK : GROWS.k;
  return ageMs <= GROWS.withinMs && Math.abs(raw - lastRaw) <= leapK;
}

function push(newest: number[], value: number): void {
  if (newest.length > 1) newest[2] = newest[1]!;
  if (newest.length > 0) newest[1] = newest[0]!;
  newest[0] = value;
}

function count(run: { count: number; since: number }, isSo: boolean, t: number): void {
  if (!isSo) run.count = 0;
  else if (run.count++ === 0) run.since = t;
}

function addGap(heard: HeardPoint, gapMs: number, isToldAgain: boolean): void {
  const { gaps } = heard;
  const gap = isToldAgain ? -gapMs : gapMs;
  if (gaps.length < GAPS) gaps.push(gap);
  else gaps[heard.gapAt % GAPS] = gap;
  const faded = heard.longestGapMs * (1 - Math.min(1, gapMs / FADES_MS));
  heard.longestGapMs = Math.max(Math.min(gapMs, LONGEST_GAP_MS), faded);
  const isNew = gaps.length < 16;
  if (++heard.gapAt % LOOK_EVERY !== 0 && !isNew) return;
  if (gaps.length < 3) return;
  const sorted = gaps.map(Math.abs).sort((a, b) => a - b);
  const usual = sorted[sorted.length >> 1]!;
  heard.usualGapMs = usual;
  if (restsOften(gaps, heard.steadyGapMs ?? usual)) heard.steadyGapMs = null;
  else if (isSteady(gaps, usual)) heard.steadyGapMs = usual;
  heard.patienceMs =
    heard.steadyGapMs === null
      ? Math.max(3 * heard.longestGapMs, heard.gapAt < FEW ? LONGEST_GAP_MS : HOUR)
      : steadyPatienceMs(heard.steadyGapMs);
}

const steadyPatienceMs = (gapMs: number): number => Math.max(3 * gapMs, 5 * MINUTE);

/** Whether a point has lately rested again and again for longer than one that tells at even intervals. */
function restsOften(gaps: readonly number[], usualMs: number): boolean {
  const patienceMs = steadyPatienceMs(usualMs);
  return gaps.filter((gap) => Math.abs(gap) > patienceMs).length >= RESTS;
}

/** Whether a point tells at even intervals, and unchanged values as well as new ones. */
function isSteady(gaps: readonly number[], usualMs: number): boolean {
  if (usualMs > 10 * MINUTE) return false;
  const near = gaps.filter(
    (gap) => Math.abs(gap) >= 0.5 * usualMs && Math.abs(gap) <= 1.5 * usualMs,
  );
  const again = near.filter((gap) => gap < 0);
  return near.length >= EVEN_SHARE * gaps.length && again.length >= TOLD_AGAIN;
}

function remember(times: number[], t: number): void {
  times.push(t);
  while (times[0]! < t - DAY) times.shift();
}

/** A jump is a step beyond what the place can do that comes back within three readings. */
function lookForJump(
  heard: HeardPoint,
  t: number,
  value: number,
  last: number,
  ageMs: number,
): void {
  const limit = heard.type.high >= QUICK_FROM_C ? 20 : 5; // K
  const { step } = heard;
  if (step) {
    step.later++;
    if (Math.abs(value - step.from) < limit / 2) {
      remember(heard.jumps, step.at);
      heard.step = null;
    } else if (step.later > JUMP_READINGS) heard.step = null;
    return;
  }
  if (ageMs <= jumpWithinMs(heard) && Math.abs(value - last) > limit) {
    heard.step = { from: last, at: t, later: 1 };
  }
}

/** Still water and air cannot jump within minutes either. */
const jumpWithinMs = ({ type }: HeardPoint): number =>
  type.high > STILL_UP_TO_C ? JUMP_WITHIN_MS : STILL_JUMP_WITHIN_MS;

/** A point that jumps has to show a step for longer than a jump lasts before that is believed. */
const hasJumpedLately = ({ jumps }: HeardPoint, t: number): boolean =>
  jumps.length > 0 && t - jumps.at(-1)! <= CALM_MS;

/** Middle of the newest three values that can be: a single odd one does not show. */
export function steady({ values, times }: HeardPoint): number | null {
  const [a, b, c] = values;
  if (a === undefined) return null;
  if (b === undefined || c === undefined || times[0]! - times[2]! > 10 * MINUTE) return a;
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
}
