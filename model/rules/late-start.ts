import type { Minute } from '../minutes/minute.ts';
import { MINUTE } from '../readings.ts';
import { type HotStop, mayRest, noHotStop, seeHotStop } from './hot-stop.ts';
import { loopHeatW } from './loop-heat.ts';
import { isOutOfPlace } from './out-of-place.ts';
import { startOf } from './pump-not-running.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

const LIMITS = {
  /** Sensors that differ may make a pump look this much late. */
  marginK: 2,
  /** In a day. */
  lateMin: 45,
  /** Or in good sun, where the collectors warm so fast that minutes say little. */
  aboveOnK: 9,
};
type Limits = typeof LIMITS;
const LEAST_LATE_MIN = 8;
const LATE_DAYS = 3;
const WEEK_DAYS = 7;
/** After a change the controller may rest for this long whatever it sees. [min] */
const RESTS_MIN = 3;

interface Gathered extends HotStop {
  /** Minutes that count if a start follows, and those that did. */
  waiting: number;
  late: number;
  waitingKwh: number;
  lateKwh: number;
  lowestStartK: number | null;
}

/** For how long the collectors were worth a start before it came. */
export interface LateFact {
  minutes: number;
  lostKwh: number;
  lowestStartK: number;
}

/** The pump starts long after the sun could have been used. */
export const lateStart: Rule<unknown, Gathered, LateFact, Limits> = {
  fault: 'late-start',
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
    'pump-not-running',
    'frozen-reading',
    'controller-disagrees',
    'short-cycling',
    'collector-sensor-loose',
    'tub-sensor-out-of-water',
    'to-and-from-swapped',
  ],
  daily: {
    begin: () => ({
      ...noHotStop(),
      waiting: 0,
      late: 0,
      waitingKwh: 0,
      lateKwh: 0,
      lowestStartK: null,
    }),
    add,
    close: ({ late, lateKwh, lowestStartK }) =>
      lowestStartK === null ? null : { minutes: late, lostKwh: lateKwh, lowestStartK },
    judge,
  },
};

function add(gathered: Gathered, minute: Minute, { marginK }: Limits): void {
  const { states, differenceK, settings, usual } = minute;
  seeHotStop(gathered, minute);
  if (states.pumpOn === null || differenceK === null || settings.pump.supply === 'own-panel')
    return;
  if (isOutOfPlace(minute)) {
    Object.assign(gathered, { waiting: 0, waitingKwh: 0 });
    return;
  }
  if (states.pumpOn) {
    const startK = startOf(minute);
    if (startK !== null && gathered.waiting > 0) {
      gathered.late += gathered.waiting;
      gathered.lateKwh += gathered.waitingKwh;
    }
    if (startK !== null && startK > settings.controller.switchOffK)
      gathered.lowestStartK = Math.min(gathered.lowestStartK ?? startK, startK);
    gathered.waiting = 0;
    gathered.waitingKwh = 0;
    return;
  }
  const isResting =
    states.limitPause || mayRest(gathered, minute) || states.pumpMinutes < RESTS_MIN;
  if (isResting || !states.sunPossible) return;
  if (differenceK < settings.controller.switchOnK + marginK) return;
  gathered.waiting++;
  gathered.waitingKwh += (loopHeatW(minute, usual) * MINUTE) / 3.6e9;
}

function judge(
  days: readonly PastDay<LateFact>[],
  now: PresentDay,
  { lateMin, aboveOnK }: Limits,
): Finding {
  const week = days.filter(({ to }) => to > now.t - WEEK_DAYS * 24 * 60 * MINUTE);
  const onK = now.settings.controller.switchOnK;
  const late = week.filter(
    ({ fact }) =>
      fact.minutes > lateMin ||
      (fact.minutes >= LEAST_LATE_MIN && fact.lowestStartK > onK + aboveOnK),
  );
  const newest = week.slice(-LATE_DAYS);
  if (newest.length > 0 && newest.every((day) => !late.includes(day))) return 'gone';
  if (late.length < LATE_DAYS) return 'between';
  const sum = (of: (fact: LateFact) => number) => late.reduce((all, { fact }) => all + of(fact), 0);
  return {
    since: late[0]!.from,
    costKwh: sum(({ lostKwh }) => lostKwh),
    evidence: {
      days: late.length,
      minutesADay: sum(({ minutes }) => minutes) / late.length,
      startsAtK: late.at(-1)!.fact.lowestStartK,
      switchOnK: onK,
    },
  };
}
