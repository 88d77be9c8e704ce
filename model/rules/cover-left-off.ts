import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import type { Severity } from '../shapes.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import { isBackupOff } from './backup-off.ts';
import type { Finding, Rule } from './rule.ts';

const LIMITS = {
  /** Nobody bathes for so long at night; what was opened by day is worth a note after this. */
  nightMin: 90,
  dayMin: 150,
  /** Many bathe by turns until 23:00, but for no longer than this. */
  partyMin: 420,
  /** An open tub cools many times as fast as it would under its cover. */
  timesCovered: 4,
  leastKPerH: 0.8,
  endsTimesCovered: 1.5,
};
/** What falls faster is no open tub but new water, or a sensor in the air. [K/h] */
const MOST_K_PER_H = 8;
/** Parts of the day by the clock on the wall. [min of the day] */
const CLOCK = { morning: 480, evening: 1020, night: 1380 };
const DAY_MIN = 1440;
const BACK_OVER_MIN = 60;
/** Slower than this part of a covered tub's cooling, something heats it. */
const FALLS_SHARE = 0.2;
const LOOKS_OVER_MIN = 90;
/** How far beginning and end of a fall are blurred by that, together. */
const BLURS_MIN = 30;
/** Each third of that falls by at least this part of its share. */
const EVEN_SHARE = 0.5;
const USUAL_ABOVE_AIR_K = 25;
/** Idle collectors in the dark stand for the air where nothing else tells it. */
const COLLECTORS_ARE_AIR = { restedMin: 180, belowK: 3 };

interface Memory {
  openMin: number;
  fastMin: number;
}

/** The tub stands open with nobody in it. */
export const coverLeftOff: Rule<
  Memory,
  Record<string, never>,
  { lossWPerK: number },
  typeof LIMITS
> = {
  fault: 'cover-left-off',
  severity: 'act',
  onMs: 0,
  offMs: 10 * MINUTE,
  limits: LIMITS,
  rising: [['endsTimesCovered', 'timesCovered']],
  needs: [['tub/temperature', 'tub/cover']],
  uses: ['outdoor/temperature', 'collector/temperature', 'pump/running', 'backup/power'],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped tub/temperature', 'pump-on-at-night'],
  memory: () => ({ openMin: 0, fastMin: 0 }),
  minute(minute, memory, _, days, limits): Finding {
    const { coverOpen, tubC, settings, states } = minute;
    const { bathing, changingWater } = settings.owner;
    const isMeant = bathing || changingWater;
    memory.openMin = coverOpen && !isMeant ? memory.openMin + 1 : 0;
    if (states.drained) return 'gone';
    if (coverOpen !== null) return bySwitch(minute, memory.openMin, isMeant, limits);
    if (tubC === null) return 'blind';
    const lossWPerK = days.at(-1)?.fact.lossWPerK ?? settings.tub.lossWPerK;
    return byCooling(minute, memory, isMeant, lossWPerK, limits);
  },
  daily: {
    begin: () => ({}),
    add: () => {},
    close: (_, { learned }) => ({ lossWPerK: learned.lossWPerK.value }),
  },
};

/**
 * What is told of a cover that is off for some minutes: at night that nobody bathes any more, by day a note
 * first, since it may be a party; null as long as it is no more than a bath.
 */
function toldOf(
  minuteOfDay: number,
  openMin: number,
  { nightMin, dayMin, partyMin }: typeof LIMITS,
): Severity | null {
  const opened = (minuteOfDay - openMin + 2 * DAY_MIN) % DAY_MIN;
  const isNight = opened < CLOCK.morning || opened >= CLOCK.night;
  const patienceMin = isNight
    ? nightMin
    : Math.min(partyMin, Math.max(dayMin, CLOCK.night - opened));
  if (openMin >= patienceMin) return 'act';
  return openMin >= dayMin && opened < CLOCK.evening ? 'note' : null;
}

function bySwitch(
  minute: Minute,
  openMin: number,
  isMeant: boolean,
  limits: typeof LIMITS,
): Finding {
  if (!minute.coverOpen) return 'gone';
  const severity = isMeant ? null : toldOf(minute.minuteOfDay, openMin, limits);
  if (severity === null) return 'between';
  const { tubC } = minute;
  return {
    severity,
    since: minute.t - openMin * MINUTE,
    evidence: { openMinutes: openMin, tubC, coolingKPerH: cooling(minute, LOOKS_OVER_MIN) },
  };
}

function byCooling(
  minute: Minute,
  memory: Memory,
  isMeant: boolean,
  lossWPerK: number,
  limits: typeof LIMITS,
): Finding {
  const { settings, tubC, t } = minute;
  const kPerH = cooling(minute, LOOKS_OVER_MIN);
  const coveredKPerH = (lossWPerK * aboveAirK(minute)) / tubCapacityWhPerK(settings.tub.litres);
  const leastKPerH = Math.max(limits.leastKPerH, limits.timesCovered * coveredKPerH);
  const isFast = !isMeant && fallsFast(minute, kPerH, leastKPerH);
  memory.fastMin = isFast ? memory.fastMin + 1 : 0;
  const fastFor = LOOKS_OVER_MIN + memory.fastMin - 1;
  const severity = isFast ? toldOf(minute.minuteOfDay, fastFor - BLURS_MIN, limits) : null;
  if (severity !== null) {
    return {
      severity,
      since: t - fastFor * MINUTE,
      evidence: { tubC, coolingKPerH: kPerH, coveredKPerH, minutes: fastFor },
    };
  }
  return isBack(minute, coveredKPerH, limits.endsTimesCovered) ? 'gone' : 'between';
}

/** Whether the tub has fallen as only an open one does, all the time and at an even pace. */
function fallsFast(minute: Minute, kPerH: number | null, leastKPerH: number): boolean {
  const { states } = minute;
  if (kPerH === null || states.pumpOn === true) return false;
  if (kPerH < leastKPerH || kPerH > MOST_K_PER_H) return false;
  // cold water from a hose makes a step; this goes on through each third
  const thirdMin = LOOKS_OVER_MIN / 3;
  const leastK = EVEN_SHARE * leastKPerH * (thirdMin / 60);
  return [0, 1, 2].every((third) => {
    const later = minute.ago('tubC', third * thirdMin);
    const before = minute.ago('tubC', Math.min((third + 1) * thirdMin, LOOKS_OVER_MIN - 1));
    return later !== null && before !== null && before - later >= leastK;
  });
}

/** Whether the tub cools as slowly as a covered one does: a backup that may heat can look the same for a while. */
function isBack(minute: Minute, coveredKPerH: number, endsTimes: number): boolean {
  const { states } = minute;
  const isSure = isBackupOff(minute) === true;
  const minutes = isSure ? BACK_OVER_MIN : 2 * BACK_OVER_MIN;
  if (states.pumpOn === true || states.pumpMinutes < minutes) return false;
  return [BACK_OVER_MIN, minutes].every((overMin) => {
    const kPerH = cooling(minute, overMin);
    if (kPerH === null || kPerH >= endsTimes * coveredKPerH + stepKPerH(minute)) return false;
    return isSure || kPerH > FALLS_SHARE * coveredKPerH;
  });
}

/** How fast the tub cools, over some minutes [K/h]; null where that is not known. */
function cooling(minute: Minute, overMin: number): number | null {
  const slope = minute.slopePerH('tubC', overMin);
  return slope === null ? null : -slope;
}

/** What one step of the sensor looks like as a cooling. [K/h] */
const stepKPerH = ({ heard }: Minute): number => {
  const stepK = heard['tub/temperature']?.stepK ?? 0;
  return stepK >= 0.2 ? stepK / (BACK_OVER_MIN / 60) : 0;
};

function aboveAirK({ tubC, airC, collectorC, states }: Minute): number {
  if (airC !== null) return Math.max(5, tubC! - airC);
  const areAir = states.dark && states.pumpMinutes > COLLECTORS_ARE_AIR.restedMin;
  if (!areAir || collectorC === null) return USUAL_ABOVE_AIR_K;
  return Math.max(5, tubC! - collectorC - COLLECTORS_ARE_AIR.belowK);
}
