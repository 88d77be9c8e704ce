import { MINUTE } from '../readings.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/**
 * A step within half an hour that air alone does not make, and the other way at the other end, where the
 * sun may come or go more slowly; and how far apart the sun may stand from day to day.
 */
const LIMITS = { stepK: 4, backK: 2, bothK: 6.5, samePlaceDeg: 15 };
type Limits = typeof LIMITS;
const STEP_MS = 30 * MINUTE;
const LOOKS_EVERY_MS = 5 * MINUTE;
const STEP_LOOKS = STEP_MS / LOOKS_EVERY_MS;
const DAYS = 3;
/** So long ago a day still counts. [ms] */
const LATELY_MS = 14 * 24 * 60 * MINUTE;
/** A day with this much sun tells also where nothing stepped up. [min] */
const SUNNY_MIN = 180;
const BRIGHT = 0.75;

interface Gathered {
  /** Every five minutes by day: time, the sun's azimuth, the air. */
  looks: { t: number; azimuthDeg: number; airC: number }[];
  brightMinutes: number;
}

/** A day's step up and back, and where the sun stood at its sharper end. */
interface Step {
  riseK: number;
  fallK: number;
  sharpDeg: number;
}

interface Fact {
  /** null: there was none. */
  step: Step | null;
}

/** The sun shines on the outdoor sensor: on clear days it steps up and back at the same place of the sun. */
export const outdoorSensorInSun: Rule<unknown, Gathered, Fact, Limits> = {
  fault: 'outdoor-sensor-in-sun',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['backK', 'stepK']],
  needs: [['outdoor/temperature']],
  uses: ['collector/irradiance'],
  mutedBy: ['sensor-open', 'sensor-short', 'jumping-reading', 'clock-wrong'],
  daily: {
    begin: () => ({ looks: [], brightMinutes: 0 }),
    add(gathered, { t, airC, sunDeg, sunAzimuthDeg, sunWPerM2, clearWPerM2, states }) {
      const isBright =
        sunWPerM2 === null ? states.pumpOn === true : sunWPerM2 > BRIGHT * clearWPerM2;
      if (states.sunPossible && isBright) gathered.brightMinutes++;
      if (t % LOOKS_EVERY_MS !== 0 || airC === null || sunDeg < 3) return;
      gathered.looks.push({ t, azimuthDeg: sunAzimuthDeg, airC });
    },
    close({ looks, brightMinutes }, _, limits) {
      const step = stepOf(looks, limits);
      return step || brightMinutes >= SUNNY_MIN ? { step } : null;
    },
    judge,
  },
};

/** The sharpest change of half an hour, where the day also has its opposite on the right side of it. */
function stepOf(looks: Gathered['looks'], limits: Limits): Fact['step'] {
  const changes = looks.slice(0, -STEP_LOOKS).map((_, i) => changeK(looks, i));
  const most = (sign: number, from: number, to: number): number => {
    let at = -1;
    for (let i = Math.max(0, from); i < Math.min(to, changes.length); i++) {
      if (at < 0 || sign * changes[i]! > sign * changes[at]!) at = i;
    }
    return at;
  };
  const [up, down] = [most(1, 0, changes.length), most(-1, 0, changes.length)];
  if (up < 0) return null;
  const isRise = changes[up]! >= -changes[down]!;
  const rise = isRise ? up : most(1, 0, down - STEP_LOOKS);
  const fall = isRise ? most(-1, up + STEP_LOOKS, changes.length) : down;
  if (rise < 0 || fall < 0) return null;
  const [riseK, fallK] = [changes[rise]!, -changes[fall]!];
  const isStep =
    Math.max(riseK, fallK) >= limits.stepK &&
    Math.min(riseK, fallK) >= limits.backK &&
    riseK + fallK >= limits.bothK;
  const sharp = isRise ? rise : fall;
  return isStep ? { riseK, fallK, sharpDeg: looks[sharp + STEP_LOOKS / 2]!.azimuthDeg } : null;
}

function changeK(looks: Gathered['looks'], i: number): number {
  const [from, to] = [looks[i]!, looks[i + STEP_LOOKS]!];
  return to.t - from.t === STEP_MS ? to.airC - from.airC : 0;
}

function judge(
  days: readonly PastDay<Fact>[],
  { t, settings }: PresentDay,
  { samePlaceDeg }: Limits,
): Finding {
  const movedAt = settings.owner.movedAt['outdoor/temperature'] ?? Number.NEGATIVE_INFINITY;
  const lately = days.filter(({ from, to }) => to > t - LATELY_MS && from >= movedAt);
  const newest = lately.at(-1)?.fact.step;
  if (lately.length < DAYS) return 'between';
  if (!newest) {
    return lately.slice(-DAYS).every(({ fact }) => fact.step === null) ? 'gone' : 'between';
  }
  const same = lately.filter(
    ({ fact: { step } }) => step && isSamePlace(step, newest, samePlaceDeg),
  );
  if (same.length < DAYS) return 'between';
  const steps = same
    .map(({ fact: { step } }) => Math.max(step!.riseK, step!.fallK))
    .sort((a, b) => a - b);
  return {
    since: same[0]!.from,
    evidence: {
      stepK: steps[steps.length >> 1]!,
      days: same.length,
      azimuthDeg: newest.sharpDeg,
    },
  };
}

/** The same end is the sharp one, at the same place of the sun. */
const isSamePlace = (a: Step, b: Step, withinDeg: number): boolean =>
  a.riseK > a.fallK === b.riseK > b.fallK && apartDeg(a.sharpDeg, b.sharpDeg) <= withinDeg;

const apartDeg = (a: number, b: number): number => Math.abs(((a - b + 540) % 360) - 180);
