import { boardsHeard } from '../minutes/boards-heard.ts';
import type { HeardPoint } from '../minutes/heard-point.ts';
import type { Minute } from '../minutes/minute.ts';
import { collectorNumber, type PointKind } from '../points.ts';
import { MINUTE } from '../readings.ts';
import { temperatureSensors } from './points-judged.ts';
import type { Finding, Rule } from './rule.ts';
import { beginStretch, goOn, type Stretch } from './still-stretch.ts';

/** Steps of a sensor that make calm water look frozen: it is given twice the time. [K] */
const COARSE_K = 0.25;
const COARSE_W = 5; // W/m²
/** What has to move by more than this many of its steps, before a coarse sensor has to show it. */
const SHOWS_STEPS = 2;
/** Water that boils in collectors that stand holds them there. [°C] */
const BOILS = { fromC: 95, toC: 115 };
/** Fewer equal readings than these prove nothing. */
const LEAST_READINGS = 5;
/** So many that stand still at once, for so long, do so because what sends them does. [min] */
const TOGETHER = 3;
const TOGETHER_MIN = 20;
/** After how much heat that the loop brought, and how long, a tub has to have moved. */
const GAINED = {
  fine: { gainedK: 1, minutes: 120 },
  coarse: { gainedK: 1.5, minutes: 180 },
};
/** How fast a stretch of calm that ended by itself is forgotten: halved in two weeks. */
const FADES_PER_MINUTE = 0.5 ** (1 / (14 * 24 * 60));

interface Memory extends Stretch {
  /** The longest the point stood still and then moved by itself [min]; it fades. */
  calmMinutes: number;
  told: boolean;
}

/** How long the point has stood still, and whether it is a sensor with coarse steps. */
interface Still {
  minutes: number;
  isCoarse: boolean;
  stepK: number;
  calmMinutes: number;
}

/** A point tells one and the same number, bit for bit, while it ought to move. */
export const frozenReading: Rule<Memory> = {
  fault: 'frozen-reading',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  needs: [],
  uses: ['pump/running', 'collector/irradiance', 'outdoor/temperature'],
  mutedBy: ['device-silent', 'broker-lost', 'sensor-silent', 'sensor-open', 'sensor-short'],
  subjects: (heard) => [
    ...temperatureSensors(heard),
    ...heard.filter((point) => point === 'collector/irradiance' || point === 'pump/flow'),
  ],
  memory: () => ({ ...beginStretch(0), calmMinutes: 0, told: false }),
  minute(minute, memory, point): Finding {
    const { t, states } = minute;
    const heard = minute.heard[point]!;
    if (heard.sameSince !== memory.since) {
      const stoodMinutes = (heard.sameSince - memory.since) / MINUTE;
      if (memory.since > 0 && !memory.told) {
        memory.calmMinutes = Math.max(memory.calmMinutes, stoodMinutes);
      }
      Object.assign(memory, beginStretch(heard.sameSince), { told: false });
      return 'gone';
    }
    memory.calmMinutes *= FADES_PER_MINUTE;
    if (t - heard.heardAt > heard.patienceMs) return 'blind';
    goOn(memory, minute);
    if (states.drained) return 'gone';
    const minutes = (t - heard.sameSince) / MINUTE;
    const isCoarse = heard.stepK === 0 || heard.stepK >= COARSE_K;
    const stepK = heard.stepK || COARSE_K;
    const still = { minutes, isCoarse, stepK, calmMinutes: memory.calmMinutes };
    const mates = minutes >= TOGETHER_MIN && isDaylight(minute) ? stillTogether(minute, point) : [];
    if (mates.length >= TOGETHER) {
      if (mates[0] !== point && !memory.told) return 'between';
      memory.told = true;
      return { since: heard.sameSince, evidence: figures(heard, minutes, mates.length) };
    }
    const isFrozen =
      heard.sameCount >= LEAST_READINGS &&
      minutes >= 15 &&
      oughtToMove(point, still, memory, minute);
    if (!isFrozen && !memory.told) return 'gone';
    memory.told = true;
    return { since: heard.sameSince, evidence: figures(heard, minutes, 1) };
  },
};

function oughtToMove(point: string, still: Still, seen: Stretch, minute: Minute): boolean {
  if (point === 'tub/temperature') return tub(still, seen, minute);
  if (point === 'collector/temperature' || collectorNumber(point) !== null) {
    return collector(still, seen, minute, point);
  }
  if (point === 'collector/outlet') return outlet(still, seen);
  if (point === 'collector/inlet') return inlet(still, seen);
  if (point === 'outdoor/temperature') return outdoor(still, seen);
  if (point === 'collector/irradiance') return irradiance(still, seen);
  return flow(still, seen, minute);
}

/** Points of a board with fine steps that have stood still since the same moment, in the board's order. */
function stillTogether({ settings, heard, t }: Minute, point: string): readonly string[] {
  const { sameSince } = heard[point]!;
  const boards = boardsHeard(settings, Object.keys(heard));
  const board = boards.find(({ points }) => points.includes(point))!;
  return board.points.filter((mate) => {
    const { type, stepK, sameSince: since, sameCount, heardAt, patienceMs } = heard[mate]!;
    const finest = { temperature: COARSE_K, irradiance: COARSE_W }[type.kind as string] ?? 0;
    return (
      stepK > 0 &&
      stepK < finest &&
      sameCount >= LEAST_READINGS &&
      t - heardAt <= patienceMs &&
      Math.abs(since - sameSince) <= 3 * MINUTE
    );
  });
}

/** Light that has to change, or a pump that moves water in the sun. */
const isDaylight = ({ sunWPerM2, heard, sunDeg, states }: Minute): boolean =>
  (sunDeg > 3 && (sunWPerM2 ?? heard['collector/irradiance']?.raw ?? 0) > 20) ||
  (states.sunPossible && states.pumpOn === true);

const figures = (heard: HeardPoint, minutes: number, together: number) => ({
  [unit[heard.type.kind] ?? 'value']: heard.raw,
  hours: minutes / 60,
  readings: heard.sameCount,
  together,
});

/** Names of a value's figure, by its kind. */
const unit: Partial<Record<PointKind, string>> = {
  temperature: 'valueC',
  flow: 'lPerMin',
  irradiance: 'wPerM2',
};

/** Calm as it was never before, for at least as long as calm can last; coarse steps take `coarse`. */
const isTooCalm = (still: Still, fineMin: number, coarseMin: number): boolean =>
  still.minutes >= Math.max(still.isCoarse ? coarseMin : fineMin, 2 * still.calmMinutes);

const never = Number.POSITIVE_INFINITY;

/** Water in the collectors moves with sun and pump; in fog, with the pump at rest, it hardly does. */
function collector(still: Still, seen: Stretch, { t, heard }: Minute, point: string): boolean {
  const twice = still.isCoarse ? 2 : 1;
  const startedMin = (t - seen.firstStartAt) / MINUTE;
  if (startedMin >= 20 * twice && seen.pumpMinutes >= 10) return true;
  // a tub that warms while the sun goes down may hold them where they are
  const { low, high } = seen.expectedRunning;
  const wouldShow = !still.isCoarse || high - low > SHOWS_STEPS * still.stepK;
  if (seen.sunPumpMinutes >= 60 * twice && wouldShow) return true;
  const { raw } = heard[point]!;
  const mayBoil = seen.pumpMinutes === 0 && raw >= BOILS.fromC && raw <= BOILS.toC;
  const isBright = seen.sun.high - seen.sun.low > 150 || seen.air.high - seen.air.low > 2;
  const isHeld = mayBoil || (seen.pumpMinutes > 0 && !wouldShow);
  if (seen.sunMinutes >= 60 * twice && isBright && !isHeld) return true;
  if (seen.sunMinutes >= 120 && !mayBoil && isTooCalm(still, 120, never)) return true;
  return isTooCalm(still, (mayBoil ? 12 : 6) * 60, never);
}

/** Heat that the loop brought would have warmed it, or a day cooled it. */
function tub(still: Still, seen: Stretch, { settings }: Minute): boolean {
  const { gainedK, minutes } = still.isCoarse ? GAINED.coarse : GAINED.fine;
  if (seen.gainedK >= gainedK && still.minutes >= minutes) return true;
  const heatedMinutes = seen.warmingMinutes + seen.backupMinutes;
  if (!still.isCoarse && still.minutes >= 240 && heatedMinutes >= 120) return true;
  return isTooCalm(still, 12 * 60, (settings.backup.kind === 'none' ? 24 : 36) * 60);
}

/** What comes back follows the collectors while the pump runs. */
function outlet(still: Still, seen: Stretch): boolean {
  const twice = still.isCoarse ? 2 : 1;
  if (seen.collectorRunning.high - seen.collectorRunning.low <= 2 * twice) return false;
  const hasStarted = Number.isFinite(seen.firstStartAt);
  return seen.pumpMinutes >= (hasStarted ? 20 : 90) * twice;
}

/** What leaves the tub is as warm as the tub while the pump runs. */
function inlet(still: Still, seen: Stretch): boolean {
  const movedK = seen.tubRunning.high - seen.tubRunning.low;
  if (seen.pumpMinutes >= 30 && movedK > (still.isCoarse ? 1.2 : 0.35)) return true;
  const hasStarted = Number.isFinite(seen.firstStartAt) && seen.pumpMinutes >= 10;
  if (hasStarted && isTooCalm(still, 6 * 60, 12 * 60)) return true;
  return isTooCalm(still, 12 * 60, never);
}

/** Air has its daily course, less of it in rain. */
function outdoor(still: Still, seen: Stretch): boolean {
  const isSunny = seen.collector.high - seen.collector.low > 25;
  return isSunny ? isTooCalm(still, 4 * 60, 9 * 60) : isTooCalm(still, 6 * 60, never);
}

/** Light moves with the sun, even through fog. */
const irradiance = (still: Still, seen: Stretch): boolean =>
  seen.sunMinutes >= (still.isCoarse ? 180 : 90) &&
  seen.clear.high - seen.clear.low > (still.isCoarse ? 200 : 50);

/** The last figure of a run stands on long after the pump was switched off. */
const flow = (still: Still, seen: Stretch, { heard, pump }: Minute): boolean =>
  heard['pump/flow']!.raw > 0.3 &&
  pump.on === false &&
  seen.pumpMinutes >= 2 &&
  seen.offMinutes >= 15 &&
  still.minutes >= 20;
