import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { movesNoWater } from './no-water.ts';
import { isOutOfPlace } from './out-of-place.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

const LIMITS = {
  /** What cold pipe water takes from a sensor that sits well, within minutes of a day's best start. */
  fallsK: 2,
  /** Running collectors that stand so little above the tub bring nothing. */
  standsAboveK: 4,
  /** Collectors cannot be colder than the water that comes from them by this much, for so long. */
  belowPipeK: 3,
  belowPipeMin: 10,
  /** Running collectors that are colder than a tub which they warm. */
  colderK: 2,
  warmsK: 0.5,
  /** Share of the season's usual height. */
  lowBelow: 0.6,
};
type Limits = typeof LIMITS;
const FALLS_WITHIN_MIN = 7;
/** A single start proves nothing: a quarter of healthy ones show no fall. */
const LEAST_STARTS = 2;
const SEASON_DAYS = 30;
/** A pump that ran so long in daylight had sun. */
const SUNNY_MIN = 60;
const MOST_MINUTES = 900;
const DAYS = { sign: 2, of: 3, good: 2 };
const FORGOTTEN_MS = 14 * 24 * HOUR;

interface Gathered {
  starts: number;
  /** Start that is being watched [ms], the collectors' height at it, and how far they fell since. */
  startAt: number | null;
  startC: number;
  fallK: number;
  runK: number[];
  highestC: number | null;
  riseK: number;
  lastTubC: number | null;
  belowNow: number;
  belowMin: number;
  aboveAirK: number[];
}

export interface LooseFact {
  starts: number;
  fallK: number;
  /** Collectors less tub while running, middle of the day. [K] */
  runK: number;
  highestC: number;
  /** How far the tub rose while the pump ran. [K] */
  riseK: number;
  belowPipeMin: number;
  /** Collectors less air at night: a little below it where they see the sky; null where not heard. [K] */
  nightAboveAirK: number | null;
}

/** The collectors' sensor has slipped off its place, and feels the air. */
export const collectorSensorLoose: Rule<unknown, Gathered, LooseFact, Limits> = {
  fault: 'collector-sensor-loose',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [
    ['collector/temperature'],
    ['tub/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['collector/outlet', 'outdoor/temperature'],
  mutedBy: ['frozen-reading', 'to-and-from-swapped', 'tub-sensor-out-of-water'],
  daily: {
    begin: () => ({
      starts: 0,
      startAt: null,
      startC: 0,
      fallK: 0,
      runK: [],
      highestC: null,
      riseK: 0,
      lastTubC: null,
      belowNow: 0,
      belowMin: 0,
      aboveAirK: [],
    }),
    add(gathered, minute, limits) {
      if (isOutOfPlace(minute) || movesNoWater(minute)) return;
      addNight(gathered, minute);
      watchStart(gathered, minute);
      addRunning(gathered, minute, limits);
    },
    /** Only of a day with sun, or with its own proof. */
    close(gathered, _, { belowPipeMin }) {
      const { runK, highestC, aboveAirK, belowMin } = gathered;
      if (highestC === null) return null;
      if (runK.length < SUNNY_MIN && belowMin < belowPipeMin) return null;
      return {
        starts: gathered.starts,
        fallK: gathered.fallK,
        runK: quantile(runK, 0.5),
        highestC,
        riseK: gathered.riseK,
        belowPipeMin: gathered.belowMin,
        nightAboveAirK: aboveAirK.length < 60 ? null : quantile(aboveAirK, 0.5),
      };
    },
    judge,
  },
};

function addNight({ aboveAirK }: Gathered, { states, collectorC, airC }: Minute): void {
  if (!states.dark || states.pumpOn !== false || states.pumpMinutes < 180) return;
  if (collectorC === null || airC === null || aboveAirK.length >= MOST_MINUTES) return;
  aboveAirK.push(collectorC - airC);
}

function watchStart(gathered: Gathered, minute: Minute): void {
  const { states, collectorC, pump, t } = minute;
  if (collectorC === null || !states.sunPossible) {
    gathered.startAt = null;
    return;
  }
  const isStart = states.pumpOn === true && states.pumpMinutes <= 1;
  if (isStart && gathered.startAt !== pump.changedAt) {
    gathered.starts++;
    gathered.startAt = pump.changedAt;
    gathered.startC = Math.max(collectorC, minute.ago('collectorC', 1) ?? collectorC);
  }
  if (gathered.startAt === null || t - gathered.startAt > FALLS_WITHIN_MIN * MINUTE) return;
  gathered.startC = Math.max(gathered.startC, t - gathered.startAt <= 2 * MINUTE ? collectorC : 0);
  gathered.fallK = Math.max(gathered.fallK, gathered.startC - collectorC);
}

function addRunning(gathered: Gathered, minute: Minute, { belowPipeK }: Limits): void {
  const { states, collectorC, tubC, differenceK, outletC } = minute;
  const isRunning = states.pumpOn === true && !states.settling && states.sunPossible;
  if (!isRunning || differenceK === null) {
    gathered.lastTubC = null;
    gathered.belowNow = 0;
    return;
  }
  if (gathered.runK.length < MOST_MINUTES) gathered.runK.push(differenceK);
  gathered.highestC = Math.max(gathered.highestC ?? collectorC!, collectorC!);
  gathered.riseK += gathered.lastTubC === null ? 0 : tubC! - gathered.lastTubC;
  gathered.lastTubC = tubC;
  const isBelow = outletC !== null && collectorC! < outletC - belowPipeK;
  gathered.belowNow = isBelow ? gathered.belowNow + 1 : 0;
  gathered.belowMin = Math.max(gathered.belowMin, gathered.belowNow);
}

function judge(days: readonly PastDay<LooseFact>[], now: PresentDay, limits: Limits): Finding {
  const newest = days.at(-1);
  const since = Math.max(
    now.settings.owner.movedAt['collector/temperature'] ?? 0,
    now.settings.owner.movedAt['*'] ?? 0,
  );
  if (!newest || now.t - newest.to > FORGOTTEN_MS) return 'blind';
  const usualC = seasonsHeight(days);
  const last = days.slice(-DAYS.of).filter(({ from }) => from >= since);
  const signs = last.map(({ fact }) => hasSign(fact, usualC, limits));
  if (signs.length >= DAYS.good && signs.slice(-DAYS.good).every((isSo) => !isSo)) return 'gone';
  if (signs.filter(Boolean).length < DAYS.sign || !signs.at(-1)) return 'between';
  const { fact } = newest;
  return {
    since: last[signs.indexOf(true)]!.from,
    evidence: {
      starts: fact.starts,
      largestFallK: fact.fallK,
      aboveTubK: fact.runK,
      highestC: fact.highestC,
      usualHighestC: usualC,
      tubRiseK: fact.riseK,
      belowPipeMinutes: fact.belowPipeMin,
      nightAboveAirK: fact.nightAboveAirK,
    },
  };
}

/** How hot the collectors have been on days with sun before the newest ones; null before it is known. [°C] */
function seasonsHeight(days: readonly PastDay<LooseFact>[]): number | null {
  const before = days.slice(-SEASON_DAYS, -DAYS.of).map(({ fact }) => fact.highestC);
  return before.length < DAYS.of ? null : quantile(before, 0.5);
}

function hasSign(fact: LooseFact, usualC: number | null, limits: Limits): boolean {
  const { fallsK, standsAboveK, lowBelow, warmsK, colderK, belowPipeMin } = limits;
  const neverFalls = fact.starts >= LEAST_STARTS && fact.fallK < fallsK && fact.runK < standsAboveK;
  const isLow =
    usualC !== null &&
    fact.highestC < lowBelow * usualC &&
    fact.riseK >= warmsK &&
    fact.runK < standsAboveK;
  // a pump that never stops is no controller's: that has other reasons
  const isColder = fact.starts > 0 && fact.runK < -colderK && fact.riseK >= warmsK;
  return neverFalls || isLow || isColder || fact.belowPipeMin >= belowPipeMin;
}
