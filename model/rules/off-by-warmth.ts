import type { WarmEdges } from './sun-edges.ts';

/** How far off a loop's day has to be [min]; see the rule about clocks. */
export interface FarOff {
  dayOffMin: number;
  edgeOffMin: number;
  loneMorningOffMin: number;
}

/** So many days have to say the same, of the newest; clouds may hide it on others. */
const SAYING = { days: 3, of: 5 };
/** So early is no morning that a clear sky makes. */
const EARLY_MIN = 15;
/** Clear days agree so well, and so many of all days are clear. */
const CLEAR = { withinMin: 15, days: 3, share: 1 / 3 };
/** A day that is off by no more is a day as usual. */
const USUAL_MIN = 20;
/** Without days before, by a clear sky's sun alone. */
const PLAIN_MIN = 30;

/**
 * By how much the loop's days are off its own days before [min]; null where they are not. Clouds and shade
 * only make a day late at its beginning and early at its end. So mornings that come too early prove a wrong
 * clock, and late ones do if the evenings come late as well.
 *
 * @param days  all days of the last weeks, in order
 */
export function offByWarmth(
  days: readonly WarmEdges[],
  isTowardsNoon: boolean,
  limits: FarOff,
): number | null {
  for (let of = SAYING.days; of <= SAYING.of; of++) {
    const before = knownRight(days.slice(0, -of));
    const off = before.length < CLEAR.days ? null : offUsual(days.slice(-of), before, limits);
    if (off !== null) return off;
  }
  const newest = days.slice(-SAYING.days).map(({ morningMin }) => morningMin);
  const isAlone = knownRight(days.slice(0, -SAYING.days)).length < CLEAR.days;
  const isEarly = newest.length === SAYING.days && Math.max(...newest) <= -limits.loneMorningOffMin;
  return isAlone && isTowardsNoon && isEarly ? middle(newest) : null;
}

function offUsual(
  newest: readonly WarmEdges[],
  before: readonly WarmEdges[],
  { dayOffMin, edgeOffMin }: FarOff,
): number | null {
  const usual = usualMorning(before);
  if (usual === null) return null;
  const early = newest.filter(
    ({ morningMin }) => morningMin - usual <= -dayOffMin && morningMin <= -EARLY_MIN,
  );
  const offBy = (of: readonly WarmEdges[]) =>
    middle(of.map(({ morningMin }) => morningMin - usual));
  if (early.length >= SAYING.days) return offBy(early);
  const usualEvening = usualCooling(before);
  if (usualEvening === null) return null;
  const late = newest.filter(
    ({ morningMin, cooledMin }) =>
      morningMin - usual >= dayOffMin &&
      cooledMin !== null &&
      cooledMin - usualEvening >= edgeOffMin,
  );
  return late.length >= SAYING.days ? offBy(late) : null;
}

/** Whether the newest days began as days do. */
export function isUsual(days: readonly WarmEdges[]): boolean {
  const newest = days.slice(-SAYING.days);
  const usual = usualMorning(knownRight(days.slice(0, -SAYING.days)));
  return newest.every(({ morningMin }) =>
    usual === null ? Math.abs(morningMin) < PLAIN_MIN : Math.abs(morningMin - usual) < USUAL_MIN,
  );
}

const knownRight = (days: readonly WarmEdges[]) => days.filter(({ isTold }) => !isTold);

const usualMorning = (days: readonly WarmEdges[]): number | null =>
  firstAgreeing(days.map(({ morningMin }) => morningMin));

function usualCooling(days: readonly WarmEdges[]): number | null {
  const first = firstAgreeing(
    days.flatMap(({ cooledMin }) => (cooledMin === null ? [] : -cooledMin)),
  );
  return first === null ? null : -first;
}

/** The middle of the lowest values that agree, which must be enough of all; null where none do. */
function firstAgreeing(values: readonly number[]): number | null {
  const sorted = values.toSorted((a, b) => a - b);
  const least = Math.max(CLEAR.days, Math.ceil(CLEAR.share * sorted.length));
  for (const low of sorted) {
    const agreeing = sorted.filter((value) => value >= low && value <= low + CLEAR.withinMin);
    if (agreeing.length >= least) return middle(agreeing);
  }
  return null;
}

const middle = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[values.length >> 1]!;
