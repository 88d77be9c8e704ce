import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import { isBackupOff, STAND_BY_W } from './backup-off.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

const LIMITS = {
  /** Above the limit, with the pump still bringing heat. */
  runningAboveK: 0.6,
  runningDifferenceK: 1,
  /** Above the limit, and warmer by the hour with everything at rest. */
  restingAboveK: 1,
  restingKPerH: 0.2,
  endsAboveK: 0.3,
};
const RUNNING_MIN = 10;
const RESTING_MIN = 120;
/** What the backup gave a moment ago still rises through the water. */
const RESTS_MIN = 30;
/** Sun on a cover and waste heat bring no more; what warms the tub faster is a heater. [W] */
const MOST_W = 900;
/** The controller's own sensor may differ from ours: it has then been seen to stop a little higher. */
const OWN_LIMIT = { leastStops: 3, mostK: 0.8, days: 30 };
const HOT_STOP_ABOVE_OFF_K = 3;
const MOST_STOPS = 20;

/** Tub temperatures at which hot collectors were left alone. [°C] */
interface Stops {
  hotStopsC: number[];
}

/** The sun brings more than the tub loses, and nothing holds it back. */
export const tubOverheatedBySun: Rule<{ minutes: number }, Stops, Stops, typeof LIMITS> = {
  fault: 'tub-overheated-by-sun',
  severity: 'act',
  onMs: 30 * MINUTE,
  offMs: 2 * HOUR,
  limits: LIMITS,
  rising: [
    ['endsAboveK', 'runningAboveK'],
    ['endsAboveK', 'restingAboveK'],
  ],
  needs: [['tub/temperature'], ['pump/running', 'pump/power', 'pump/flow']],
  uses: ['collector/temperature', 'backup/power', 'backup/energy', 'filter/running'],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped'],
  memory: () => ({ minutes: 0 }),
  minute(minute, memory, _, days, limits): Finding {
    const { tubC, differenceK, states } = minute;
    if (tubC === null || states.pumpOn === null) return 'blind';
    const limitC = limitKept(minute, days);
    if (tubC <= limitC + limits.endsAboveK || states.drained) {
      memory.minutes = 0;
      return 'gone';
    }
    const runs =
      states.pumpOn &&
      restsLong(minute, RESTS_MIN) &&
      tubC > limitC + limits.runningAboveK &&
      (differenceK ?? 0) > limits.runningDifferenceK;
    memory.minutes = runs ? memory.minutes + 1 : 0;
    const rises = runs ? null : risesAtRest(minute, limitC, limits);
    if (memory.minutes < RUNNING_MIN && rises === null) return 'between';
    return {
      since: minute.t - (runs ? memory.minutes : RESTING_MIN) * MINUTE,
      evidence: { tubC, limitC, pumpOn: states.pumpOn, differenceK, kPerH: rises },
    };
  },
  daily: {
    begin: () => ({ hotStopsC: [] }),
    add: ({ hotStopsC }, { states, tubC, differenceK, settings }) => {
      const isStop = states.pumpOn === false && states.pumpMinutes <= 1;
      if (!isStop || tubC === null || differenceK === null || hotStopsC.length >= MOST_STOPS)
        return;
      if (differenceK >= settings.controller.switchOffK + HOT_STOP_ABOVE_OFF_K)
        hotStopsC.push(tubC);
    },
    close: (stops) => (stops.hotStopsC.length > 0 ? stops : null),
  },
};

/** The limit as our sensor has seen the controller keep it. [°C] */
function limitKept({ settings }: Minute, days: readonly PastDay<Stops>[]): number {
  const { limitC } = settings.tub;
  const stops = days
    .slice(-OWN_LIMIT.days)
    .flatMap(({ fact }) => fact.hotStopsC)
    .filter((stopC) => Math.abs(stopC - limitC) <= OWN_LIMIT.mostK);
  if (stops.length < OWN_LIMIT.leastStops) return limitC;
  return Math.max(limitC, quantile(stops, 0.75));
}

/** Whether the backup rests, and has for some minutes as far as it is measured. */
function restsLong(minute: Minute, minutes: number): boolean {
  if (isBackupOff(minute) !== true) return false;
  const power = minute.over('backupW', minutes);
  return power === null || power.high < STAND_BY_W;
}

/** How fast a tub above its limit grows warmer with nothing that heats it on purpose; null where not. [K/h] */
function risesAtRest(
  minute: Minute,
  limitC: number,
  { restingAboveK, restingKPerH }: typeof LIMITS,
): number | null {
  const { states, tubC, settings } = minute;
  if (states.pumpOn || states.filterRun || !restsLong(minute, RESTING_MIN)) return null;
  if (states.bathing || tubC! <= limitC + restingAboveK) return null;
  if (states.pumpMinutes < RESTING_MIN) return null;
  const kPerH = minute.slopePerH('tubC', RESTING_MIN);
  const lately = minute.slopePerH('tubC', RESTING_MIN / 2);
  if (kPerH === null || lately === null || Math.min(kPerH, lately) < restingKPerH) return null;
  const mostKPerH = MOST_W / tubCapacityWhPerK(settings.tub.litres);
  return kPerH > mostKPerH ? null : kPerH;
}
