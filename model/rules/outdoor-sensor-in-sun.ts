import { MINUTE } from '../readings.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** A step up, and down again, within half an hour that air alone does not make. [K] */
const STEP_K = 4;
const STEP_MS = 30 * MINUTE;
const LOOKS_EVERY_MS = 5 * MINUTE;
const STEP_LOOKS = STEP_MS / LOOKS_EVERY_MS;
/** The sun stands in the same place again, within this. [°] */
const SAME_PLACE_DEG = 15;
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

interface Fact {
  /** How far the air stepped up, and where the sun stood then and when it fell back; null: it did not. */
  step: { riseK: number; riseDeg: number; fallDeg: number } | null;
}

/** The sun shines on the outdoor sensor: on clear days it steps up and back at the same place of the sun. */
export const outdoorSensorInSun: Rule<unknown, Gathered, Fact> = {
  fault: 'outdoor-sensor-in-sun',
  severity: 'look',
  onMs: 0,
  offMs: 0,
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
    close({ looks, brightMinutes }) {
      const step = stepOf(looks);
      return step || brightMinutes >= SUNNY_MIN ? { step } : null;
    },
    judge,
  },
};

/** The greatest rise of half an hour, where it falls back as fast later on. */
function stepOf(looks: Gathered['looks']): Fact['step'] {
  let [rise, fall] = [
    { k: 0, at: -1 },
    { k: 0, at: -1 },
  ];
  for (let i = 0; i + STEP_LOOKS < looks.length; i++) {
    const k = changeK(looks, i);
    if (k > rise.k) rise = { k, at: i };
  }
  for (let i = rise.at + STEP_LOOKS; rise.at >= 0 && i + STEP_LOOKS < looks.length; i++) {
    const k = -changeK(looks, i);
    if (k > fall.k) fall = { k, at: i };
  }
  if (rise.k < STEP_K || fall.k < STEP_K) return null;
  const middle = STEP_LOOKS / 2;
  const deg = (at: number) => looks[at + middle]!.azimuthDeg;
  return { riseK: rise.k, riseDeg: deg(rise.at), fallDeg: deg(fall.at) };
}

function changeK(looks: Gathered['looks'], i: number): number {
  const [from, to] = [looks[i]!, looks[i + STEP_LOOKS]!];
  return to.t - from.t === STEP_MS ? to.airC - from.airC : 0;
}

function judge(days: readonly PastDay<Fact>[], { t, settings }: PresentDay): Finding {
  const movedAt = settings.owner.movedAt['outdoor/temperature'] ?? Number.NEGATIVE_INFINITY;
  const lately = days.filter(({ from, to }) => to > t - LATELY_MS && from >= movedAt);
  const newest = lately.at(-1)?.fact.step;
  if (lately.length < DAYS) return 'between';
  if (!newest) {
    return lately.slice(-DAYS).every(({ fact }) => fact.step === null) ? 'gone' : 'between';
  }
  const same = lately.filter(({ fact: { step } }) => step && isSamePlace(step, newest));
  if (same.length < DAYS) return 'between';
  const rises = same.map(({ fact }) => fact.step!.riseK).sort((a, b) => a - b);
  return {
    since: same[0]!.from,
    evidence: {
      riseK: rises[rises.length >> 1]!,
      days: same.length,
      azimuthFromDeg: newest.riseDeg,
      azimuthToDeg: newest.fallDeg,
    },
  };
}

const isSamePlace = (a: NonNullable<Fact['step']>, b: NonNullable<Fact['step']>): boolean =>
  apartDeg(a.riseDeg, b.riseDeg) <= SAME_PLACE_DEG &&
  apartDeg(a.fallDeg, b.fallDeg) <= SAME_PLACE_DEG;

const apartDeg = (a: number, b: number): number => Math.abs(((a - b + 540) % 360) - 180);
