import type { Span } from '../civil-time.ts';
import { MINUTE } from '../readings.ts';
import { sunTimes } from '../sun.ts';
import { priceSpans } from '../tariff.ts';
import { isBackupOff } from './backup-off.ts';
import type { ClosedDay, Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** Heat before the sun could, from so early on until an hour before its highest. */
const BEFORE = { fromMinute: 120, endsBeforeNoonMs: 60 * MINUTE };
/** What shows later in the day that the sun would have done it. */
const LIMITS = {
  leastKwh: 1,
  fullMin: 45,
  warmMin: 120,
  days: 3,
  of: 7,
  endsDays: 1,
};
const WARM = { aboveK: 0.5, fromSolarHour: 11 };
const FORGOTTEN_MS = 14 * 86_400_000;
const HALF_HOUR_MIN = 30;

interface Gathered {
  kwhByHalfHour: number[];
  fullMin: number;
  warmByHalfHour: number[];
}

/** A day on which the backup was heard. */
interface FoughtDay {
  /** What the backup gave before the sun could [kWh]. */
  earlyKwh: number;
  /** Whether the sun then had too little room in the tub. */
  isFull: boolean;
  /** The owner chose those hours by their price. */
  isCheap: boolean;
}

/** The backup heats in the hours before the sun would have done it for nothing. */
export const backupFightsSun: Rule<unknown, Gathered, FoughtDay, typeof LIMITS> = {
  fault: 'backup-fights-sun',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['days', 'of']],
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['backup/power', 'backup/energy'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  mutedBy: [
    'backup-without-warming',
    'water-too-hot',
    'tub-sensor-out-of-water',
    'pump-not-running',
    'running-without-flow',
  ],
  daily: {
    begin: () => ({
      kwhByHalfHour: new Array<number>(50).fill(0),
      fullMin: 0,
      warmByHalfHour: new Array<number>(50).fill(0),
    }),
    add(gathered, minute) {
      const { states, settings, tubC, differenceK, minuteOfDay, backupW } = minute;
      const slot = Math.floor(minuteOfDay / HALF_HOUR_MIN);
      if (tubC === null || states.drained) return;
      // an element that warms nothing takes no room from the sun
      const heats = backupW !== null && !minute.isTold('backup-without-warming');
      if (heats) gathered.kwhByHalfHour[slot]! += backupW / 60_000;
      const isLeft = states.pumpOn === false && (differenceK ?? 0) >= settings.controller.switchOnK;
      if (states.sunPossible && states.limitPause && isLeft) gathered.fullMin++;
      const { targetC } = settings.tub;
      if (tubC >= (minute.setpointC ?? targetC) + WARM.aboveK && isBackupOff(minute) === true)
        gathered.warmByHalfHour[slot]!++;
    },
    close: fought,
    judge,
  },
};

function fought(gathered: Gathered, day: ClosedDay, limits: typeof LIMITS): FoughtDay | null {
  const { bounds, settings, quarters } = day;
  if (!quarters.some(({ backupKwh }) => backupKwh !== null)) return null;
  const { latitude, longitude } = settings.place;
  const noon = sunTimes(bounds.from, bounds.to, latitude, longitude).noon;
  if (noon === null) return null;
  const slotOf = (t: number) => Math.floor((t - bounds.from) / (HALF_HOUR_MIN * MINUTE));
  const sum = (values: readonly number[], from: number, to = values.length) =>
    values.slice(Math.max(0, from), Math.max(0, to)).reduce((a, b) => a + b, 0);
  const end = noon - BEFORE.endsBeforeNoonMs;
  const earlyKwh = sum(
    gathered.kwhByHalfHour,
    slotOf(bounds.from + BEFORE.fromMinute * MINUTE),
    slotOf(end),
  );
  const warmMin = sum(
    gathered.warmByHalfHour,
    slotOf(noon - (12 - WARM.fromSolarHour) * 60 * MINUTE),
  );
  return {
    earlyKwh,
    isFull: gathered.fullMin >= limits.fullMin || warmMin >= limits.warmMin,
    isCheap: isCheap({ from: bounds.from + BEFORE.fromMinute * MINUTE, to: end }, day),
  };
}

/** Whether those hours are cheaper than the dearest of the day. */
function isCheap({ from, to }: Span, { bounds, settings }: ClosedDay): boolean {
  const { tariff, place } = settings;
  if (!tariff) return false;
  const dearest = (start: number, end: number) =>
    Math.max(...[...priceSpans(start, end, tariff, place.timeZone)].map(({ price }) => price));
  return dearest(from, to) < dearest(bounds.from, bounds.to);
}

function judge(
  days: readonly PastDay<FoughtDay>[],
  now: PresentDay,
  limits: typeof LIMITS,
): Finding {
  const week = days.slice(-limits.of);
  if (week.length < limits.days || now.t - week.at(-1)!.to > FORGOTTEN_MS) return 'blind';
  const fights = week.filter(({ fact }) => fact.isFull && fact.earlyKwh >= limits.leastKwh);
  if (fights.length <= limits.endsDays) return 'gone';
  if (fights.length < limits.days) return 'between';
  const freeKwh = fights.reduce((sum, { fact }) => sum + fact.earlyKwh, 0);
  return {
    severity: fights.every(({ fact }) => fact.isCheap) ? 'note' : 'look',
    since: fights[0]!.from,
    evidence: { days: fights.length, of: week.length, freeKwh },
    costKwh: freeKwh,
  };
}
