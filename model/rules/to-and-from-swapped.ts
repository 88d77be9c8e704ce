import type { Minute } from '../minutes/minute.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { Finding, Present, Rule } from './rule.ts';

const LIMITS = {
  /** Collectors this much hotter than the tub warm the water that goes through them. */
  hotK: 2.5,
  /** Water that comes back colder than it left by this share of that, and by more than sensors differ. */
  colderShare: 0.35,
  colderK: 0.7,
  /** For how many minutes of settled running, together. */
  proofMin: 20,
  /** What a "tub" that rises like collectors does within two hours, while "collectors" stay as a tub. */
  swingsK: 8,
  staysK: 2.5,
  /** What collectors never stand above a tub by, in the dark and at rest. */
  warmerAtNightK: 8,
};
type Limits = typeof LIMITS;

/** What it is told about: the tub that has the collectors' place, or the one of the pair it is seen by. */
const TUB = 'tub/temperature';
const PAIR = 'collector/outlet';
/** Water that left as warm as collectors are, by this share of the way. */
const LEFT_HOT_SHARE = 0.4;
/** It need not have passed them yet. */
const NEARLY_K = 3;
const TUB_LIKE_C = { from: 25, to: 43 };
/** How alike two readings are of which each took the other's place, and how different before. [K] */
const EXCHANGED_K = { alike: 1.5, apart: 4 };

interface Memory {
  wrongMin: number;
  /** The first of these minutes [ms]. */
  wrongSince: number;
  rightMin: number;
}

/**
 * Two thermometers have each other's place or name: to and from the tub, or tub and collectors. It shows
 * in what water cannot do.
 */
export const toAndFromSwapped: Rule<Memory, unknown, unknown, Limits> = {
  fault: 'to-and-from-swapped',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['collector/inlet', 'collector/outlet'],
  mutedBy: ['jumping-reading'],
  subjects: (heard) => [TUB, PAIR].filter((point) => heard.includes(point)),
  memory: () => ({ wrongMin: 0, wrongSince: 0, rightMin: 0 }),
  minute(minute, memory, point, _, limits): Finding {
    const { states, differenceK, inletC, outletC } = minute;
    if (differenceK === null || states.pumpOn === null) return 'blind';
    if (states.drained || minute.settings.owner.changingWater) return 'between';
    const tub = exchanged(minute) ?? rises(minute, limits) ?? standsWarm(minute, limits);
    if (tub) {
      memory.rightMin = 0;
      return point === TUB ? tub : 'between';
    }
    if (states.pumpOn && !states.settling && states.sunPossible && differenceK > limits.hotK)
      count(minute, memory, limits);
    if (point === PAIR && memory.wrongMin >= limits.proofMin) {
      return {
        since: memory.wrongSince,
        evidence: { swapped: 'pair', toC: outletC, fromC: inletC, tubC: minute.tubC },
      };
    }
    return memory.rightMin >= limits.proofMin ? 'gone' : 'between';
  },
};

/** Counts minutes in which heat would go backwards, or goes the right way. */
function count(minute: Minute, memory: Memory, limits: Limits): void {
  const { inletC, outletC, tubC } = minute;
  if (inletC === null || outletC === null) {
    if (minute.heard['collector/outlet'] === undefined) memory.rightMin++;
    return;
  }
  // without flow both pipes grow colder than the tub: that is another fault
  const differenceK = minute.differenceK!;
  const colderK = Math.max(limits.colderK, limits.colderShare * differenceK);
  const isBackwards = outletC < inletC - colderK && inletC > tubC! + LEFT_HOT_SHARE * differenceK;
  const cools = (minute.slopePerH('tubC', 60) ?? 0) < -0.5;
  if (isBackwards && !cools) {
    if (memory.wrongMin++ === 0) memory.wrongSince = minute.t;
    memory.rightMin = 0;
  } else if (outletC > inletC + 0.5) {
    memory.rightMin++;
    memory.wrongMin = 0;
  }
}

/** Both took each other's place a moment ago, and now stand as they cannot. */
function exchanged(minute: Minute): Present | null {
  const { tubC, collectorC, differenceK, states } = minute;
  const tubBeforeC = minute.ago('tubC', 6);
  const collectorBeforeC = minute.ago('collectorC', 6);
  if (tubBeforeC === null || collectorBeforeC === null) return null;
  const { alike, apart } = EXCHANGED_K;
  if (Math.abs(tubBeforeC - collectorBeforeC) < apart) return null;
  if (Math.abs(tubC! - collectorBeforeC) > alike || Math.abs(collectorC! - tubBeforeC) > alike)
    return null;
  const isAbsurd = states.dark
    ? differenceK! > apart / 2
    : states.pumpOn && differenceK! < -apart / 2;
  return isAbsurd ? tubFound(minute) : null;
}

/** The "tub" rises past the "collectors" as no heater can, while they stay like a tub. */
function rises(minute: Minute, { swingsK, staysK }: Limits): Present | null {
  const { tubC, collectorC } = minute;
  if (minute.sunDeg <= 0 || !isTubLike(collectorC!) || tubC! < collectorC! - NEARLY_K) return null;
  const tub = minute.over('tubC', 120);
  const collector = minute.over('collectorC', 120);
  if (!tub || !collector) return null;
  const isSo =
    tub.high - tub.low > swingsK &&
    tubC! - tub.low > swingsK &&
    collector.high - collector.low < staysK;
  return isSo ? tubFound(minute) : null;
}

/** Hours into the night the "collectors" stand far above the "tub", and cool as slowly as one. */
function standsWarm(minute: Minute, { warmerAtNightK, staysK }: Limits): Present | null {
  const { states, differenceK, collectorC, heard, t } = minute;
  if (!states.dark || states.pumpOn || states.pumpMinutes < 180) return null;
  if (differenceK! < warmerAtNightK || !isTubLike(collectorC!)) return null;
  const collector = minute.over('collectorC', 180);
  // one that is stuck does not move at all
  const isStuck = t - heard['collector/temperature']!.sameSince > 3 * HOUR + MINUTE;
  if (!collector || collector.high - collector.low > staysK || isStuck) return null;
  return tubFound(minute);
}

const isTubLike = (celsius: number): boolean =>
  celsius >= TUB_LIKE_C.from && celsius <= TUB_LIKE_C.to;

const tubFound = ({ tubC, collectorC }: Minute): Present => ({
  evidence: { swapped: 'tub', tubC, collectorC },
});
