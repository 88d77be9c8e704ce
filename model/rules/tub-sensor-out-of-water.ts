import type { Minute } from '../minutes/minute.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { Finding, Present, Rule } from './rule.ts';

const LIMITS = {
  /** What no top-up takes from a tub in half an hour, and what no bath does either. */
  fallsK: 3,
  /** Without the air to hold it against, it has to be more. */
  fallsFarK: 6,
  nearAirK: 4,
  /** Water that comes from the tub differs from it by no more. */
  fromTubK: 4,
  /** A tub left alone for long does not swing so far and come back. */
  swingsK: 8,
};
type Limits = typeof LIMITS;
const FALLS_WITHIN_MIN = 30;
/** By how much the air must move before it can be followed, and how closely it is. */
const AIR_MOVES_K = 1;
const FOLLOWS = 0.8;
const FOLLOWS_OVER_MIN = 180;
/** Water that comes from the tub is like it again. [K] */
const LIKE_TUB_K = 2;
const PROOF_MIN = 10;
/** Within ten minutes: the tub is still being filled, or the sensor still cools. [K] */
const STILL_FALLS_K = 1;
/** New cold water warms as a heater warms it, through the night too. */
const HEATED_AFTER_MIN = 58;
const HEATED_OVER_MIN = 40;
const HEATS_K_PER_H = 0.6;
const HEATS_AT_MOST_K_PER_H = 8;
const HEATING_W = 300;
/** A tub that swings has come back by so much. [K] */
const COMES_BACK_K = 3;
/** Water holds its heat: so little moves in half a day, so far above the air. [K] */
const STEADY_K = 4;
const ABOVE_AIR_K = 10;
const HOLDS_OVER_MIN = 45;
const HOLDS_K_PER_H = 1.5;
const HALF_DAY_MIN = 720;
const LOOK_EVERY_MS = 10 * MINUTE;

interface Memory {
  /** Tub before it fell [°C], and when, and when it had fallen [ms]; null while it has not. */
  beforeC: number | null;
  fellAt: number;
  fallenAt: number;
  /** Minutes in which water from the tub was unlike it, and like it. */
  unlikeMin: number;
  likeMin: number;
  swings: boolean;
  /** The reading came back as fast as it fell, and when [ms]. */
  isBack: boolean;
  backAt: number;
  isSteady: boolean;
  isWater: boolean;
}

/** The tub's thermometer hangs in the air: whatever heats by it heats without limit. */
export const tubSensorOutOfWater: Rule<Memory, unknown, unknown, Limits> = {
  fault: 'tub-sensor-out-of-water',
  severity: 'act',
  onMs: HOUR,
  offMs: HOUR,
  limits: LIMITS,
  needs: [['tub/temperature']],
  uses: ['outdoor/temperature', 'collector/inlet', 'collector/temperature', 'backup/power'],
  mutedBy: ['to-and-from-swapped', 'jumping-reading'],
  memory: () => ({
    beforeC: null,
    fellAt: 0,
    fallenAt: 0,
    unlikeMin: 0,
    likeMin: 0,
    swings: false,
    isBack: false,
    backAt: 0,
    isSteady: false,
    isWater: false,
  }),
  minute(minute, memory, _, __, limits): Finding {
    const { tubC, t, settings, states } = minute;
    if (tubC === null) return 'blind';
    if (settings.owner.changingWater || states.drained || minute.isTold('to-and-from-swapped')) {
      memory.beforeC = null;
      return 'between';
    }
    watchFall(minute, memory, limits);
    compareWithLoop(minute, memory, limits);
    if (t % LOOK_EVERY_MS === 0) lookBack(minute, memory, limits);
    const isFound =
      memory.unlikeMin >= PROOF_MIN ||
      memory.swings ||
      (memory.beforeC !== null && isInAir(minute, memory, limits));
    if (isFound) return found(minute, memory);
    return memory.likeMin >= PROOF_MIN || memory.isBack || memory.isSteady ? 'gone' : 'between';
  },
};

/** Remembers a fall too fast for water, until the reading is back as fast, or near where it was. */
function watchFall(minute: Minute, memory: Memory, { fallsK }: Limits): void {
  const { tubC, t } = minute;
  const beforeC = minute.ago('tubC', FALLS_WITHIN_MIN);
  if (memory.beforeC === null) {
    if (beforeC === null || beforeC - tubC! <= fallsK) return;
    const fell = {
      beforeC,
      fellAt: t,
      fallenAt: t,
      isWater: false,
      isBack: false,
      isSteady: false,
      likeMin: 0,
    };
    Object.assign(memory, fell);
  } else if (tubC! >= memory.beforeC - fallsK || (beforeC !== null && tubC! - beforeC > fallsK)) {
    Object.assign(memory, { beforeC: null, unlikeMin: 0, swings: false, isBack: true, backAt: t });
  }
}

/** Holds the tub against the water that runs out of it. */
function compareWithLoop(
  { states, inletC, tubC, lPerMin, usual }: Minute,
  memory: Memory,
  { fromTubK }: Limits,
): void {
  if (states.pumpOn !== true || states.settling || inletC === null) return;
  if (lPerMin !== null && lPerMin < 0.3 * usual.lPerMin) return;
  const byK = inletC - tubC!;
  // a pipe in which nothing moves grows cold; water from the tub is as warm as the tub
  if (byK > fromTubK) {
    memory.unlikeMin++;
    memory.likeMin = 0;
  } else if (Math.abs(byK) < LIKE_TUB_K) {
    memory.likeMin++;
    memory.unlikeMin = 0;
    if (memory.likeMin >= PROOF_MIN) memory.beforeC = null;
  }
}

/** Whether a reading that fell stays as air does, not as new cold water would. */
function isInAir(minute: Minute, memory: Memory, { nearAirK, fallsFarK }: Limits): boolean {
  const { tubC, t } = minute;
  if ((minute.ago('tubC', 10) ?? tubC!) - tubC! > STILL_FALLS_K) memory.fallenAt = t;
  if (t === memory.fallenAt) return false;
  if (t - memory.fallenAt === HEATED_AFTER_MIN * MINUTE) memory.isWater = isHeated(minute);
  if (memory.isWater) return false;
  const airC = airNear(minute);
  if (airC !== null && Math.abs(tubC! - airC) < nearAirK) return true;
  if (holdsAbove(minute, airC)) return false;
  return memory.beforeC! - tubC! >= fallsFarK || followsAir(minute);
}

/** Whether it stays far above the air, as a tub does that was filled up with much cold water. */
function holdsAbove(minute: Minute, airC: number | null): boolean {
  if (airC === null || minute.tubC! - airC < ABOVE_AIR_K) return false;
  return (minute.slopePerH('tubC', HOLDS_OVER_MIN) ?? -Infinity) > -HOLDS_K_PER_H;
}

/** The air, or at night what idle collectors tell of it; null where neither does. [°C] */
function airNear({ airC, states, collectorC }: Minute): number | null {
  if (airC !== null) return airC;
  const isIdle = states.dark && states.pumpOn === false && states.pumpMinutes > 180;
  return isIdle ? collectorC : null;
}

/** Whether the tub warms as by its heater, when no sun could warm the air. */
function isHeated(minute: Minute): boolean {
  const { states, backupW } = minute;
  if (backupW === null ? !states.dark : backupW < HEATING_W) return false;
  const risesKPerH = minute.slopePerH('tubC', HEATED_OVER_MIN) ?? 0;
  return risesKPerH >= HEATS_K_PER_H && risesKPerH <= HEATS_AT_MOST_K_PER_H;
}

/** Whether tub and air went the same way for hours. */
function followsAir(minute: Minute): boolean {
  const air = minute.over('airC', FOLLOWS_OVER_MIN);
  if (!air || air.high - air.low < AIR_MOVES_K) return false;
  let [n, sumX, sumY, sumXx, sumYy, sumXy] = [0, 0, 0, 0, 0, 0];
  for (let i = 0; i < FOLLOWS_OVER_MIN; i += 5) {
    const x = minute.ago('airC', i);
    const y = minute.ago('tubC', i);
    if (x === null || y === null) continue;
    n++;
    sumX += x;
    sumY += y;
    sumXx += x * x;
    sumYy += y * y;
    sumXy += x * y;
  }
  const spread = (n * sumXx - sumX ** 2) * (n * sumYy - sumY ** 2);
  return spread > 0 && (n * sumXy - sumX * sumY) / Math.sqrt(spread) > FOLLOWS;
}

/** What half a day tells. */
function lookBack(minute: Minute, memory: Memory, { swingsK }: Limits): void {
  const { tubC, states, t } = minute;
  const tub = minute.over('tubC', HALF_DAY_MIN);
  if (!tub) return;
  const idle = states.pumpOn === false && states.pumpMinutes >= HALF_DAY_MIN;
  const backup = minute.over('backupW', HALF_DAY_MIN);
  const isUnheated =
    minute.settings.backup.kind === 'none' || (backup !== null && backup.high < 50);
  if (idle && isUnheated && t - memory.backAt > HALF_DAY_MIN * MINUTE) {
    memory.swings =
      tub.high - tub.low > swingsK && tubC! - tub.low > COMES_BACK_K && isWide(tub, swingsK);
  }
  const air = minute.over('airC', HALF_DAY_MIN) ?? minute.over('collectorC', HALF_DAY_MIN);
  const isWarm = air !== null && tub.low - Math.min(air.mean, air.low + STEADY_K) > ABOVE_AIR_K;
  memory.isSteady = memory.beforeC === null && isWarm && tub.high - tub.low < STEADY_K;
}

/** Not only for a moment: the middle lies well off both ends. */
const isWide = (tub: { low: number; mean: number; high: number }, swingsK: number): boolean =>
  Math.min(tub.high - tub.mean, tub.mean - tub.low) > swingsK / 4;

function found(minute: Minute, { beforeC, fellAt }: Memory): Present {
  return {
    ...(beforeC === null ? {} : { since: fellAt - FALLS_WITHIN_MIN * MINUTE }),
    evidence: {
      tubC: minute.tubC,
      beforeC,
      airC: airNear(minute),
      fromTubC: minute.states.pumpOn ? minute.inletC : null,
    },
  };
}
