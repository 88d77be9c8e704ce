import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

const LIMITS = {
  /** A clock hour with so many starts is bad, and so many of them in a day are too many. */
  startsInAnHour: 12,
  badHours: 2,
  /** A controller with least run times makes fewer: then so many starts in so many hours are too many. */
  startsInABusyHour: 9,
  busyHours: 3,
  /** Or a day of so many runs that are shorter than this; in weak sun a sound loop makes some of them. */
  shortRunMin: 2.5,
  shortRuns: 24,
};
type Limits = typeof LIMITS;
/** Days of the newest with short runs. */
const SHORT_DAYS = 2;
/** In the first and last hour of sun a pump may start and stop. [W/m²] */
const SUNNY_W_PER_M2 = 300;
const GOOD_DAYS = 3;
const MOST_RUNS = 300;
/** A loop that did so on most of its first days is made so: worth a note. */
const FIRST = { days: 5, share: 0.6 };

interface Gathered {
  /** Starts by local hour. */
  hours: number[];
  runs: number[];
  heard: boolean;
}

/** How the pump started and stopped on a day with sun. */
export interface CyclesFact {
  badHours: number;
  /** Absent from days of older versions. */
  busyHours?: number;
  mostStarts: number;
  runs: number;
  medianRunMin: number | null;
}

/** The pump starts and stops all the time. */
export const shortCycling: Rule<unknown, Gathered, CyclesFact, Limits> = {
  fault: 'short-cycling',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['startsInABusyHour', 'startsInAnHour']],
  needs: [['pump/running', 'pump/power', 'pump/flow']],
  mutedBy: ['pump-power-high', 'frozen-reading', 'controller-disagrees'],
  daily: {
    begin: () => ({ hours: new Array<number>(25).fill(0), runs: [], heard: false }),
    add,
    close: ({ hours, runs, heard }, _, limits) =>
      heard
        ? {
            badHours: hours.filter((starts) => starts >= limits.startsInAnHour).length,
            busyHours: hours.filter((starts) => starts >= limits.startsInABusyHour).length,
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
  const isNew = (at: number) => at >= t - MINUTE; // a minute holds its beginning, not its end
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

const isBad = (fact: CyclesFact, { badHours, busyHours }: Limits): boolean =>
  fact.badHours >= badHours || (fact.busyHours ?? 0) >= busyHours;

const isShort = ({ runs, medianRunMin }: CyclesFact, limits: Limits): boolean =>
  runs >= limits.shortRuns && medianRunMin !== null && medianRunMin < limits.shortRunMin;

function isMadeSo(days: readonly PastDay<CyclesFact>[], limits: Limits): boolean {
  const first = days.filter(({ fact }) => fact.runs > 0).slice(0, FIRST.days);
  const cycled = first.filter(({ fact }) => isBad(fact, limits) || isShort(fact, limits));
  return cycled.length >= FIRST.share * first.length;
}

function judge(days: readonly PastDay<CyclesFact>[], now: PresentDay, limits: Limits): Finding {
  const newest = days.slice(-GOOD_DAYS);
  const last = newest.at(-1);
  if (last?.date !== now.date) return 'between';
  const short = newest.filter(({ fact }) => isShort(fact, limits)).length;
  const isNow = isBad(last.fact, limits) || (isShort(last.fact, limits) && short >= SHORT_DAYS);
  if (!isNow) {
    const isGood = newest.every(({ fact }) => !isBad(fact, limits) && !isShort(fact, limits));
    return isGood && newest.length === GOOD_DAYS ? 'gone' : 'between';
  }
  return {
    ...(isMadeSo(days, limits) ? { severity: 'note' } : {}),
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
