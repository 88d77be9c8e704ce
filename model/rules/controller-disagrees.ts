import type { HeardPoint } from '../minutes/heard-point.ts';
import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import { isOutOfPlace } from './out-of-place.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** How far from its own differences a controller starts or stops the pump only by other sensors. */
const LIMITS = { startBelowOnK: 6, stopAboveOffK: 5, timesInAWeek: 3, bothAboveK: 4.5 };
type Limits = typeof LIMITS;
/** A difference beyond this comes from a sensor that is not where it should be. */
const FULL_SUN_SHARE = 1.5;
const WEEK_DAYS = 7;
/** Readings older than this at the change say nothing of it. [ms] */
const FRESH_MS = 2 * MINUTE;
/** A collector that has not moved at all for so long may be stuck. [ms] */
const STUCK_MS = 15 * MINUTE;
/** How long the pump was as it was before the change. [ms] */
const SETTLED_MS = 5 * MINUTE;
const COARSEST_STEP_K = 0.5;
/** The readings on this side of the change have come in by then. [min] */
const LOOK_AFTER_MIN = 2;
/** What a run is worth: started by sensors that are right, it warms the tub. [K] */
const WORTH_K = 1;
/** So much below the limit a controller may already rest on purpose. [K] */
const LIMIT_MARGIN_K = 0.85;
const FREEZING_C = 8;
const MOST_EVENTS = 12;
/** Runs too short to settle tell together: so many of a day, so much alike, on so many days, or on one with many. */
const ALIKE = { changes: 6, spreadK: 1.5, days: 2, most: 200, many: 20 };
/**
 * A controller with its own differences further up still has them about as far apart as the set-up says, or, by
 * sensors that lag, farther, as it was seen before.
 */
const APART_SHARE = 0.75;

interface Change {
  kind: 'start' | 'stop';
  differenceK: number;
  tubC: number;
}

interface Gathered {
  events: Change[];
  /** Of the pump, all told. */
  starts: number;
  /** At every start and stop, by fine sensors and away from the limit. [K] */
  startsK: number[];
  stopsK: number[];
  /** A sensor was told to be out of its place. */
  doubtful: boolean;
  /** A start that has yet to prove worth while [ms]. */
  start: (Change & { at: number }) | null;
}

/** Starts and stops of a day that the heard temperatures do not explain. */
export interface ChangesFact {
  events: Change[];
  starts: number;
  /** Difference at its starts and stops, where they were many and alike; else null. [K] */
  atStartK: number | null;
  atStopK: number | null;
}

/** The controller starts or stops the pump by other temperatures than those that are heard. */
export const controllerDisagrees: Rule<unknown, Gathered, ChangesFact, Limits> = {
  fault: 'controller-disagrees',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  mutedBy: [
    'frozen-reading',
    'tub-sensor-out-of-water',
    'to-and-from-swapped',
    'collector-sensor-loose',
  ],
  daily: {
    begin: () => ({
      events: [],
      starts: 0,
      startsK: [],
      stopsK: [],
      doubtful: false,
      start: null,
    }),
    add(gathered, minute, limits) {
      if (minute.states.pumpOn === true && minute.states.pumpMinutes <= 1) gathered.starts++;
      if (isOutOfPlace(minute) || minute.isTold('collector-sensor-loose')) gathered.doubtful = true;
      confirm(gathered, minute);
      addChange(gathered, minute);
      const change = changed(minute, limits);
      if (change?.kind === 'start') gathered.start = { ...change, at: minute.pump.changedAt };
      else if (change && gathered.events.length < MOST_EVENTS) gathered.events.push(change);
    },
    /** Also of a day without any, that had starts. */
    close: ({ events, starts, startsK, stopsK, doubtful }) =>
      starts > 0 && !doubtful
        ? { events, starts, atStartK: alike(startsK), atStopK: alike(stopsK) }
        : null,
    judge,
  },
};

/** A run that began too early by the heard temperatures, and then proved that these are right. */
function confirm(gathered: Gathered, { states, pump, differenceK }: Minute): void {
  const { start, events } = gathered;
  if (!start) return;
  if (states.pumpOn !== true || pump.changedAt !== start.at) gathered.start = null;
  else if (!states.settling && differenceK !== null && differenceK > WORTH_K) {
    const { at: _, ...event } = start;
    if (events.length < MOST_EVENTS) events.push(event);
    gathered.start = null;
  }
}

/** Keeps the difference at a change, higher at a start and lower at a stop than a slow reading tells. */
function addChange({ startsK, stopsK }: Gathered, minute: Minute): void {
  const { states, differenceK } = minute;
  if (states.pumpOn === null || states.pumpMinutes > 1 || differenceK === null) return;
  if (states.limitPause || !states.sunPossible || !isFine(minute)) return;
  const [collectorC, tubC] = [minute.ago('collectorC', 1), minute.ago('tubC', 1)];
  if (collectorC === null || tubC === null) return;
  const beforeK = collectorC - tubC;
  if (states.pumpOn && startsK.length < ALIKE.most) startsK.push(Math.max(beforeK, differenceK));
  if (!states.pumpOn && stopsK.length < ALIKE.most) stopsK.push(Math.min(beforeK, differenceK));
}

function alike(changesK: readonly number[]): number | null {
  if (changesK.length < ALIKE.changes) return null;
  const spreadK = quantile(changesK, 0.75) - quantile(changesK, 0.25);
  return spreadK <= ALIKE.spreadK ? quantile(changesK, 0.5) : null;
}

/** The change of the pump a moment ago, where the readings on both sides of it do not explain it. */
function changed(minute: Minute, limits: Limits): Change | null {
  const { states, settings, pump, usual, tubC, differenceK } = minute;
  const { pumpOn, pumpMinutes } = states;
  if (pumpMinutes <= LOOK_AFTER_MIN || pumpMinutes > LOOK_AFTER_MIN + 1) return null;
  if (differenceK === null || pumpOn === null || !isSettled(minute)) return null;
  const around = differencesAround(minute);
  if (around.length === 0 || !canTell(minute)) return null;
  const lowest = Math.min(...around);
  const highest = Math.max(...around.slice(-2)); // later the sun may have warmed them
  const { switchOnK, switchOffK } = settings.controller;
  if (pumpOn) {
    if (highest >= switchOnK - limits.startBelowOnK || !states.sunPossible) return null;
    if (minute.collectorC! < FREEZING_C || minute.t - (pump.stops.at(-1) ?? 0) < SETTLED_MS)
      return null;
    return { kind: 'start', differenceK: around.at(-1)!, tubC: tubC! };
  }
  if (lowest <= switchOffK + limits.stopAboveOffK || states.limitPause) return null;
  if (lowest > FULL_SUN_SHARE * usual.fullSunK) return null;
  return { kind: 'stop', differenceK: around.at(-1)!, tubC: tubC! };
}

/** Whether the pump had been as it was for long enough before the change. */
function isSettled({ pump, states }: Minute): boolean {
  const before = states.pumpOn ? pump.stops.at(-1) : pump.starts.at(-1);
  return before === undefined || pump.changedAt - before >= SETTLED_MS;
}

/** Collectors less tub from before the change to now, the newest first; none where one is not known. [K] */
function differencesAround(minute: Minute): number[] {
  const found: number[] = [];
  for (let ago = 0; ago <= LOOK_AFTER_MIN + 1; ago++) {
    const collectorC = minute.ago('collectorC', ago);
    const tubC = minute.ago('tubC', ago);
    if (collectorC === null || tubC === null) return [];
    found.push(collectorC - tubC);
  }
  return found;
}

/** Whether both sensors may speak of a moment, and the sun alone does not start and stop the pump. */
const canTell = (minute: Minute): boolean =>
  minute.settings.pump.supply !== 'own-panel' && isFine(minute);

/** Whether both sensors are quick and fine enough, and alive. */
function isFine({ heard, t }: Minute): boolean {
  const isQuick = (point: HeardPoint) =>
    point.stepK <= COARSEST_STEP_K &&
    t - point.times[0]! <= FRESH_MS &&
    (point.usualGapMs ?? 0) <= FRESH_MS;
  const collector = heard['collector/temperature']!;
  return (
    isQuick(heard['tub/temperature']!) && isQuick(collector) && t - collector.sameSince < STUCK_MS
  );
}

function judge(days: readonly PastDay<ChangesFact>[], now: PresentDay, limits: Limits): Finding {
  const since = Math.max(0, ...Object.values(now.settings.owner.movedAt));
  const week = days.filter(({ from, to }) => to > now.t - WEEK_DAYS * 24 * HOUR && from >= since);
  if (week.length === 0) return 'blind';
  const limitC = limitOf(now.settings, now.usual.limitC);
  const events = week.flatMap(({ from, fact }) =>
    fact.events
      // a limit that was learned only later
      .filter(({ kind, tubC }) => kind === 'start' || tubC < limitC - LIMIT_MARGIN_K)
      .map((event) => ({ ...event, from })),
  );
  const apartK = leastApartK(days, now.settings, limits);
  const further = week.filter(
    ({ fact }) => isHigh(fact, now.settings, limits) && fact.atStartK! - fact.atStopK! >= apartK,
  );
  const isMany = further.some(({ fact }) => fact.starts >= ALIKE.many);
  if (further.length >= ALIKE.days || isMany) return furtherUp(further, now.settings);
  if (events.length + further.length === 0) return 'gone';
  if (events.length < limits.timesInAWeek) return 'between';
  const newest = events.at(-1)!;
  return {
    since: events[0]!.from,
    evidence: {
      events: events.length,
      kind: newest.kind,
      differenceK: newest.differenceK,
      switchOnK: now.settings.controller.switchOnK,
      switchOffK: now.settings.controller.switchOffK,
    },
  };
}

/** Whether both start and stop lie high, which neither slow sensors nor one difference explain. */
function isHigh(
  { atStartK, atStopK }: ChangesFact,
  { controller }: TubSettings,
  { bothAboveK }: Limits,
): boolean {
  if (atStartK === null || atStopK === null) return false;
  const { switchOnK, switchOffK } = controller;
  return atStartK >= switchOnK + bothAboveK && atStopK >= switchOffK + bothAboveK;
}

/** How far apart start and stop lie where they belong; closer, it is differences that are too tight. [K] */
function leastApartK(
  days: readonly PastDay<ChangesFact>[],
  settings: TubSettings,
  limits: Limits,
): number {
  const { switchOnK, switchOffK } = settings.controller;
  const own = days.flatMap(({ fact }) =>
    fact.atStartK === null || fact.atStopK === null || isHigh(fact, settings, limits)
      ? []
      : fact.atStartK - fact.atStopK,
  );
  const ownK = own.length === 0 ? 0 : quantile(own, 0.5);
  return APART_SHARE * Math.max(switchOnK - switchOffK, ownK);
}

function furtherUp(days: readonly PastDay<ChangesFact>[], { controller }: TubSettings): Finding {
  const { atStartK, atStopK } = days.at(-1)!.fact;
  const { switchOnK, switchOffK } = controller;
  return {
    since: days[0]!.from,
    evidence: {
      kind: 'both',
      days: days.length,
      startsAtK: atStartK,
      differenceK: atStopK,
      switchOnK,
      switchOffK,
    },
  };
}

const limitOf = ({ tub }: TubSettings, learnedC: number | null): number =>
  Math.min(tub.limitC, learnedC ?? tub.limitC);
