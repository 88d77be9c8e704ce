import { type Minute, nothingOutside } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import { isUsual, offByWarmth } from './off-by-warmth.ts';
import type { EvidenceFigures, Finding, PastDay, Rule } from './rule.ts';
import { addEdges, beginEdges, type Edges, edgesOff, type SunEdges } from './sun-edges.ts';

const LIMITS = {
  /** How far off a board's clock may be, for how many messages. */
  boardOffMin: 2,
  messages: 10,
  /** How far off the sun's day the loop's day may be; morning and evening each have to bear it out. */
  dayOffMin: 40,
  edgeOffMin: 20,
  /** Where there are no days before to compare with, a morning has to come earlier than this. */
  loneMorningOffMin: 45,
};
type Limits = typeof LIMITS;
const WELL_WITHIN_MIN = 30;
const DAYS = 3;
const WITHIN_DAYS = 10;
/** What was usual before is taken from so many days. */
const USUAL_DAYS = 40;
/** Collectors turned farther away have mornings of sky light alone, which says little of the hour. */
const NOON_DEG = 25;
const DAY = 24 * 60 * MINUTE;

/**
 * Times are off: boards' own, as messages arrive; or the loop's whole day, by the sun. Shade and clouds
 * make a day late at one end and early at the other; a clock moves both ends to the same side. A loop that
 * warms earlier than a clear sky's sun could warm it is proof by itself.
 */
export const clockWrong: Rule<Record<string, never>, SunEdges, Edges, Limits> = {
  fault: 'clock-wrong',
  severity: 'look',
  onMs: 10 * MINUTE,
  offMs: 10 * MINUTE,
  limits: LIMITS,
  needs: [['collector/temperature', 'collector/irradiance']],
  uses: ['pump/running', 'collector/irradiance'],
  mutedBy: ['broker-lost', 'to-and-from-swapped'],
  minute(minute, _, __, days, limits): Finding {
    const worst = worstClock(minute, limits);
    if (worst) return { evidence: worst };
    const sun = byTheSun(days, minute, limits);
    return sun === 'between' && areRightAgain(minute, limits) ? 'gone' : sun;
  },
  daily: { begin: beginEdges, add: addEdges, close: (edges) => edgesOff(edges) },
};

function worstClock({ outside }: Minute, limits: Limits): EvidenceFigures | null {
  let worst: EvidenceFigures | null = null;
  let most = limits.boardOffMin * MINUTE;
  for (const [point, { offMs, messages }] of outside.clocks) {
    if (messages < limits.messages || Math.abs(offMs) <= most) continue;
    most = Math.abs(offMs);
    worst = { point, ...figures(offMs / MINUTE), messages };
  }
  return worst;
}

/** What messages told, messages end: none comes with a time that is off. Of the past they tell nothing. */
function areRightAgain({ outside, toldBy }: Minute, limits: Limits): boolean {
  if (outside === nothingOutside || toldBy('clock-wrong')?.messages === undefined) return false;
  const most = limits.boardOffMin * MINUTE;
  return [...outside.clocks.values()].every(({ offMs }) => Math.abs(offMs) <= most);
}

/** @param offMin  above 0 where the times told are later than the true ones */
function figures(offMin: number): EvidenceFigures {
  const hours = Math.round(offMin / 60);
  return {
    offMinutes: Math.round(offMin),
    wholeHours: hours !== 0 && Math.abs(offMin - 60 * hours) < 20 ? hours : null,
  };
}

/** Newest clear days, all of which have to say the same. */
function byTheSun(
  days: readonly PastDay<Edges>[],
  { t, settings }: Minute,
  limits: Limits,
): Finding {
  const newest = days.slice(-DAYS);
  const first = newest[0];
  if (newest.length < DAYS || t - first!.to > WITHIN_DAYS * DAY) return 'between';
  const facts = newest.map(({ fact }) => fact);
  const isByLight = facts.every(({ byWhat }) => byWhat === 'light');
  const warm = days
    .filter(({ to }) => t - to < USUAL_DAYS * DAY)
    .flatMap(({ fact }) => (fact.byWhat === 'warmth' ? [fact] : []));
  const offMin = isByLight
    ? offByLight(facts, limits)
    : offByWarmth(warm, facesNoon(settings), limits);
  if (offMin !== null) {
    return { since: first!.from, evidence: { ...figures(offMin), clearDays: DAYS } };
  }
  return (isByLight ? facts.every(isWell) : isUsual(warm)) ? 'gone' : 'between';
}

/** Light is held against a clear sky's: morning and evening are both off, to the same side. */
function offByLight(facts: readonly Edges[], { dayOffMin, edgeOffMin }: Limits): number | null {
  const ends = facts.map((fact) => [fact.morningMin, eveningOf(fact)] as const);
  const off = ends.map(([morning, evening]) => (morning + (evening ?? 0)) / 2);
  const isOff = ends.every(
    ([morning, evening], i) =>
      evening !== null &&
      Math.sign(morning) === Math.sign(evening) &&
      Math.min(Math.abs(morning), Math.abs(evening)) >= edgeOffMin &&
      Math.abs(off[i]!) >= dayOffMin,
  );
  return isOff && isOneSided(off) ? middle(off) : null;
}

const eveningOf = (fact: Edges): number | null =>
  fact.byWhat === 'light' ? fact.eveningMin : null;

const facesNoon = ({ place, collectors }: TubSettings): boolean =>
  Math.abs(((collectors.azimuthDeg - (place.latitude < 0 ? 0 : 180) + 540) % 360) - 180) <=
  NOON_DEG;

const isWell = (fact: Edges): boolean =>
  Math.abs(fact.morningMin) < WELL_WITHIN_MIN && Math.abs(eveningOf(fact) ?? 0) < WELL_WITHIN_MIN;

const isOneSided = (off: readonly number[]): boolean =>
  Math.sign(Math.min(...off)) === Math.sign(Math.max(...off));

const middle = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[values.length >> 1]!;
