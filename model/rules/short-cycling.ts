import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** A clock hour with so many starts is bad, and two of them in a day are too many. */
const BAD_HOUR = { starts: 12, hours: 2 };
/** Or a day of many runs that are so short, on two days of three. [min] */
const SHORT = { minutes: 3, runs: 8, days: 2, of: 3 };
/** In the first and last hour of sun a pump may start and stop. [W/m²] */
const SUNNY_W_PER_M2 = 300;
const GOOD_DAYS = 3;
const MOST_RUNS = 300;

interface Gathered {
  /** Starts by local hour. */
  hours: number[];
  runs: number[];
  heard: boolean;
}

/** How the pump started and stopped on a day with sun. */
export interface CyclesFact {
  badHours: number;
  mostStarts: number;
  runs: number;
  medianRunMin: number | null;
}

/** The pump starts and stops all the time. */
export const shortCycling: Rule<unknown, Gathered, CyclesFact> = {
  fault: 'short-cycling',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  needs: [['pump/running', 'pump/power', 'pump/flow']],
  mutedBy: ['pump-power-high', 'frozen-reading'],
  daily: {
    begin: () => ({ hours: new Array<number>(25).fill(0), runs: [], heard: false }),
    add,
    close: ({ hours, runs, heard }) =>
      heard
        ? {
            badHours: hours.filter((starts) => starts >= BAD_HOUR.starts).length,
            mostStarts: Math.max(...hours),
            runs: runs.length,
            medianRunMin: runs.length > 0 ? quantile(runs, 0.5) : null,
          }
        : null,
    judge,
  },
};

function add(gathered: Gathered, { t, states, pump, clearWPerM2, minuteOfDay }: Minute): void {
  if (states.pumpOn === null || clearWPerM2 < SUNNY_W_PER_M2) return;
  gathered.heard = true;
  const isNew = (at: number) => at > t - MINUTE;
  for (let i = pump.starts.length - 1; i >= 0 && isNew(pump.starts[i]!); i--) {
    gathered.hours[Math.floor(minuteOfDay / 60)]!++;
  }
  for (let i = pump.stops.length - 1; i >= 0 && isNew(pump.stops[i]!); i--) {
    const stop = pump.stops[i]!;
    const start = pump.starts.findLast((at) => at < stop);
    if (start !== undefined && gathered.runs.length < MOST_RUNS)
      gathered.runs.push((stop - start) / MINUTE);
  }
}

const isBad = ({ badHours }: CyclesFact): boolean => badHours >= BAD_HOUR.hours;

const isShort = ({ runs, medianRunMin }: CyclesFact): boolean =>
  runs >= SHORT.runs && medianRunMin !== null && medianRunMin < SHORT.minutes;

function judge(days: readonly PastDay<CyclesFact>[], now: PresentDay): Finding {
  const newest = days.slice(-GOOD_DAYS);
  const last = newest.at(-1);
  if (last?.date !== now.date) return 'between';
  const short = newest.filter(({ fact }) => isShort(fact)).length;
  const isNow = isBad(last.fact) || (isShort(last.fact) && short >= SHORT.days);
  if (!isNow) {
    const isGood = newest.every(({ fact }) => !isBad(fact) && !isShort(fact));
    return isGood && newest.length === GOOD_DAYS ? 'gone' : 'between';
  }
  return {
    since: last.from,
    evidence: {
      startsInAnHour: last.fact.mostStarts,
      badHours: last.fact.badHours,
      runs: last.fact.runs,
      medianRunMinutes: last.fact.medianRunMin,
      switchOnK: now.settings.controller.switchOnK,
      switchOffK: now.settings.controller.switchOffK,
    },
  };
}
