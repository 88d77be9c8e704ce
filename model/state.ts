import { pointType } from './points.ts';
import { MINUTE } from './readings.ts';
import type { Alert, Now, State, Value } from './shapes.ts';

/** Everything that is known of a tub at an instant, before anything is concluded; every Now is one. */
export type Situation = Omit<Now, 'state' | 'sentence' | 'detail'>;

/** Above this nobody should get into the water [°C]. */
export const bathingLimitC = 40;

/** From here on the water is a danger, whether or not an alert has had the time to be raised [°C]. */
const dangerC = 41;

/** Less than this is no heat: a pair of good sensors cannot tell it from nothing at usual flows [W]. */
const leastPowerW = 100;

/** The controller has its own sensor, and rests this much below the tub's limit [K]. */
const limitMarginK = 0.85;

const settlingMs = 5 * MINUTE;

/** The sun's upper edge on the horizon, refraction included [°]. */
const horizonDeg = -0.833;

/** How far a value still stands for the present: late, its age must be said; gone, it must not be shown. */
export type Freshness = 'fresh' | 'late' | 'gone';

/**
 * A value is late after three of its usual intervals (a third of its life where that is not known yet),
 * gone after its longest gap, at least a quarter of an hour.
 */
export function freshness(value: Value | undefined, at: number): Freshness {
  if (!value || value.time === null) return 'gone';
  const age = at - Date.parse(value.time);
  const life = Math.max(15, value.longestGapMin) * MINUTE;
  if (age > life) return 'gone';
  const late = value.everyS === null ? life / 3 : 3000 * value.everyS;
  return age > late ? 'late' : 'fresh';
}

/** What a tub is in, what stands on top of it, and whether the loop is doing its work. */
export interface Conclusion {
  state: State;
  /** The danger that the sentence is about, where an alert has told of one. */
  danger: Alert | null;
  /** Further standing alerts that come before the state: dangers, then what is to be done today. */
  onTop: Alert[];
}

/** The states in the order in which the first that fits is said. */
const states: readonly { state: State; fits: (situation: Situation) => boolean }[] = [
  {
    state: 'danger',
    fits: (s) => standing(s, 'danger').length > 0 || (s.figures.tubC ?? 0) >= dangerC,
  },
  { state: 'no-reading', fits: (s) => s.figures.heardAt === null },
  { state: 'silent', fits: isSilent },
  { state: 'no-setup', fits: (s) => s.figures.missing.length > 0 },
  { state: 'drained', fits: (s) => s.figures.drainedSince !== null },
  { state: 'heating', fits: (s) => (s.powerW ?? 0) >= leastPowerW },
  {
    state: 'running-without-heat',
    fits: (s) => s.figures.pumpOn === true && s.powerW !== null && !isSettling(s),
  },
  { state: 'pump-running', fits: (s) => s.figures.pumpOn === true },
  { state: 'warm-enough', fits: (s) => !isNight(s) && isFull(s) },
  { state: 'night', fits: isNight },
  { state: 'waiting', fits: lacksSun },
  { state: 'idle', fits: () => true },
];

/** What is so just now: the first state that fits, and the alerts that come before it. */
export function stateOf(situation: Situation): Conclusion {
  const { state } = states.find(({ fits }) => fits(situation))!;
  const [danger = null, ...dangers] = standing(situation, 'danger');
  const acts = standing(situation, 'act').filter((alert) => !isQuiet(alert, situation));
  return { state, danger, onTop: [...dangers, ...acts] };
}

/** Whether the sun is down where the tub stands; false where its place is not known. */
export function isNight({ at, figures }: Situation): boolean {
  if (figures.sunrise === null || figures.sunset === null) {
    return figures.sunDeg !== null && figures.sunDeg < horizonDeg;
  }
  const present = Date.parse(at);
  const sunrise = Date.parse(figures.sunrise);
  const sunset = Date.parse(figures.sunset);
  // A zone far from the sun's own time can put the sunset before the sunrise of the same date.
  if (sunset < sunrise) return present >= sunset && present < sunrise;
  return present < sunrise || present >= sunset;
}

/** How much warmer the collectors are than the tub [K]; null where either is not known. */
export function differenceK({ figures }: Situation): number | null {
  if (figures.collectorC === null || figures.tubC === null) return null;
  return figures.collectorC - figures.tubC;
}

/** How long the pump has been as it is [ms]; null where its last change is not known. */
export function sincePumpChange({ at, figures }: Situation): number | null {
  return figures.pumpChangedAt === null ? null : Date.parse(at) - Date.parse(figures.pumpChangedAt);
}

function standing({ alerts }: Situation, severity: Alert['severity']): Alert[] {
  return alerts.filter((alert) => alert.until === null && alert.severity === severity);
}

function isQuiet(alert: Alert, { at }: Situation): boolean {
  return alert.shelvedUntil !== null && Date.parse(alert.shelvedUntil) > Date.parse(at);
}

/**
 * Nothing heard for three of the shortest usual intervals, at least five minutes; for a quarter of an
 * hour where no interval is known. What is told only when it changes says nothing about this.
 */
function isSilent({ at, values, figures }: Situation): boolean {
  if (figures.heardAt === null) return true;
  const intervals = Object.entries(values)
    .filter(([point]) => pointType(point)?.kind !== 'flag')
    .flatMap(([, value]) => value.everyS ?? []);
  const patience =
    intervals.length === 0
      ? 15 * MINUTE
      : Math.max(5 * MINUTE, 3000 * intervals.reduce((a, b) => Math.min(a, b)));
  return Date.parse(at) - Date.parse(figures.heardAt) > patience;
}

function isSettling(situation: Situation): boolean {
  if (situation.figures.settling !== null) return situation.figures.settling;
  const since = sincePumpChange(situation);
  return since !== null && since < settlingMs;
}

function isFull({ figures }: Situation): boolean {
  if (figures.limitPause !== null) return figures.limitPause;
  if (figures.tubC === null || figures.limitC === null) return false;
  return figures.tubC >= figures.limitC - limitMarginK;
}

function lacksSun(situation: Situation): boolean {
  const difference = differenceK(situation);
  const { switchOnK } = situation.figures;
  return difference !== null && switchOnK !== null && difference < switchOnK;
}
