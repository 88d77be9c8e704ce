import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import { isBackupOff } from './backup-off.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

/** Above the limit, with the pump still bringing heat. [K] */
const RUNNING = { aboveK: 0.6, differenceK: 1, lastsMin: 10 };
/** Above the limit, and warmer by the hour with everything at rest. */
const RESTING = { aboveK: 1, kPerH: 0.2, overMin: 120 };
/** What nobody measures may be the backup: it warms the tub by more than this part of its power. */
const BACKUP_SHARE = 0.4;
const ENDS_ABOVE_K = 0.3;
/** The controller's own sensor may differ from ours: it has then been seen to stop a little higher. */
const OWN_LIMIT = { leastStops: 3, mostK: 0.8, days: 30 };
const HOT_STOP_ABOVE_OFF_K = 3;
const MOST_STOPS = 20;

/** Tub temperatures at which hot collectors were left alone. [°C] */
interface Stops {
  hotStopsC: number[];
}

/** The sun brings more than the tub loses, and nothing holds it back. */
export const tubOverheatedBySun: Rule<{ minutes: number }, Stops, Stops> = {
  fault: 'tub-overheated-by-sun',
  severity: 'act',
  onMs: 30 * MINUTE,
  offMs: 2 * HOUR,
  needs: [['tub/temperature'], ['pump/running', 'pump/power', 'pump/flow']],
  uses: ['collector/temperature', 'backup/power', 'backup/energy', 'filter/running'],
  mutedBy: ['tub-sensor-out-of-water', 'to-and-from-swapped'],
  memory: () => ({ minutes: 0 }),
  minute(minute, memory, _, days): Finding {
    const { tubC, differenceK, states } = minute;
    if (tubC === null || states.pumpOn === null) return 'blind';
    const limitC = limitKept(minute, days);
    if (tubC <= limitC + ENDS_ABOVE_K || states.drained) {
      memory.minutes = 0;
      return 'gone';
    }
    const runs =
      states.pumpOn &&
      isBackupOff(minute) === true &&
      tubC > limitC + RUNNING.aboveK &&
      (differenceK ?? 0) > RUNNING.differenceK;
    memory.minutes = runs ? memory.minutes + 1 : 0;
    const rises = runs ? null : risesAtRest(minute, limitC);
    if (memory.minutes < RUNNING.lastsMin && rises === null) return 'between';
    return {
      since: minute.t - (runs ? memory.minutes : RESTING.overMin) * MINUTE,
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

/** How fast a tub above its limit grows warmer with nothing that heats it on purpose; null where not. [K/h] */
function risesAtRest(minute: Minute, limitC: number): number | null {
  const { states, tubC, settings, backupW } = minute;
  if (states.pumpOn || states.filterRun || isBackupOff(minute) !== true) return null;
  if (states.bathing || tubC! <= limitC + RESTING.aboveK) return null;
  if (states.pumpMinutes < RESTING.overMin) return null;
  const kPerH = minute.slopePerH('tubC', RESTING.overMin);
  const lately = minute.slopePerH('tubC', RESTING.overMin / 2);
  if (kPerH === null || lately === null || Math.min(kPerH, lately) < RESTING.kPerH) return null;
  const { kind, watts, efficiency } = settings.backup;
  const byBackup = (BACKUP_SHARE * watts * efficiency) / tubCapacityWhPerK(settings.tub.litres);
  return kind !== 'none' && backupW === null && kPerH > byBackup ? null : kPerH;
}
