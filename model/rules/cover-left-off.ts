import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import type { Finding, Rule } from './rule.ts';

/** An open tub cools many times as fast as it would under its cover. */
const FAST = { times: 4, leastKPerH: 0.8, mostKPerH: 8 };
/** What falls faster than that is no open tub but new water, or a sensor in the air. */
const BACK = { times: 1.5, overMin: 60 };
/** Nobody bathes for so long at this hour of the day. [min of the day, min] */
const PATIENCE = [
  { fromMinute: 0, patienceMin: 90 },
  { fromMinute: 8 * 60, patienceMin: 150 },
  { fromMinute: 17 * 60, patienceMin: 240 },
  { fromMinute: 23 * 60, patienceMin: 90 },
] as const;
const LOOKS_OVER_MIN = 90;
const USUAL_ABOVE_AIR_K = 25;
/** Idle collectors in the dark stand for the air where nothing else tells it. */
const COLLECTORS_ARE_AIR = { restedMin: 180, belowK: 3 };

interface Memory {
  openMin: number;
  fastMin: number;
}

/** The tub stands open with nobody in it. */
export const coverLeftOff: Rule<Memory, Record<string, never>, { lossWPerK: number }> = {
  fault: 'cover-left-off',
  severity: 'act',
  onMs: 0,
  offMs: 10 * MINUTE,
  needs: [['tub/temperature', 'tub/cover']],
  uses: ['outdoor/temperature', 'collector/temperature', 'pump/running', 'backup/power'],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped', 'pump-on-at-night'],
  memory: () => ({ openMin: 0, fastMin: 0 }),
  minute(minute, memory, _, days): Finding {
    const { coverOpen, tubC, settings, states } = minute;
    const { bathing, changingWater } = settings.owner;
    const isMeant = bathing || changingWater;
    memory.openMin = coverOpen && !isMeant ? memory.openMin + 1 : 0;
    if (states.drained) return 'gone';
    if (coverOpen !== null) return bySwitch(minute, memory.openMin, isMeant);
    if (tubC === null) return 'blind';
    return byCooling(minute, memory, isMeant, days.at(-1)?.fact.lossWPerK);
  },
  daily: {
    begin: () => ({}),
    add: () => {},
    close: (_, { learned }) => ({ lossWPerK: learned.lossWPerK.value }),
  },
};

const patienceMin = (minuteOfDay: number): number =>
  PATIENCE.findLast(({ fromMinute }) => fromMinute <= minuteOfDay)!.patienceMin;

function bySwitch(minute: Minute, openMin: number, isMeant: boolean): Finding {
  if (!minute.coverOpen) return 'gone';
  if (isMeant || openMin < patienceMin(minute.minuteOfDay)) return 'between';
  const { tubC } = minute;
  return {
    since: minute.t - openMin * MINUTE,
    evidence: { openMinutes: openMin, tubC, coolingKPerH: cooling(minute, LOOKS_OVER_MIN) },
  };
}

function byCooling(
  minute: Minute,
  memory: Memory,
  isMeant: boolean,
  lossWPerK: number | undefined,
): Finding {
  const { settings, tubC, states, pump, t } = minute;
  const kPerH = cooling(minute, LOOKS_OVER_MIN);
  const coveredKPerH =
    ((lossWPerK ?? settings.tub.lossWPerK) * aboveAirK(minute)) /
    tubCapacityWhPerK(settings.tub.litres);
  const isFast = isMeant ? false : fallsFast(minute, kPerH, coveredKPerH);
  memory.fastMin = isFast ? memory.fastMin + 1 : 0;
  const fastFor = LOOKS_OVER_MIN + memory.fastMin - 1;
  if (isFast && fastFor >= patienceMin(minute.minuteOfDay)) {
    return {
      since: t - fastFor * MINUTE,
      evidence: { tubC, coolingKPerH: kPerH, coveredKPerH, minutes: fastFor },
    };
  }
  const rested = states.pumpOn !== true && t - pump.changedAt > BACK.overMin * MINUTE;
  const lately = cooling(minute, BACK.overMin);
  const isBack =
    rested && lately !== null && lately < BACK.times * coveredKPerH + stepKPerH(minute);
  return isBack ? 'gone' : 'between';
}

/** Whether the tub has fallen as only an open one does, all the time and at an even pace. */
function fallsFast(minute: Minute, kPerH: number | null, coveredKPerH: number): boolean {
  const { states, tubC } = minute;
  if (kPerH === null || states.pumpOn === true) return false;
  const least = Math.max(FAST.leastKPerH, FAST.times * coveredKPerH);
  if (kPerH < least || kPerH > FAST.mostKPerH) return false;
  const middle = minute.ago('tubC', LOOKS_OVER_MIN / 2);
  const first = minute.ago('tubC', LOOKS_OVER_MIN - 1);
  if (middle === null || first === null) return false;
  // cold water from a hose makes a step; this goes on
  const halfHours = LOOKS_OVER_MIN / 2 / 60;
  const leastHalfK = 0.6 * least * halfHours;
  return first - middle >= leastHalfK && middle - tubC! >= leastHalfK;
}

/** How fast the tub cools, over some minutes [K/h]; null where that is not known. */
function cooling(minute: Minute, overMin: number): number | null {
  const slope = minute.slopePerH('tubC', overMin);
  return slope === null ? null : -slope;
}

/** What one step of the sensor looks like as a cooling. [K/h] */
const stepKPerH = ({ heard }: Minute): number => {
  const stepK = heard['tub/temperature']?.stepK ?? 0;
  return stepK >= 0.2 ? stepK / (BACK.overMin / 60) : 0;
};

function aboveAirK({ tubC, airC, collectorC, states }: Minute): number {
  if (airC !== null) return Math.max(5, tubC! - airC);
  const areAir = states.dark && states.pumpMinutes > COLLECTORS_ARE_AIR.restedMin;
  if (!areAir || collectorC === null) return USUAL_ABOVE_AIR_K;
  return Math.max(5, tubC! - collectorC - COLLECTORS_ARE_AIR.belowK);
}
