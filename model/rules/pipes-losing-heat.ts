import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { PIPE_W_PER_M_K } from '../pipe.ts';
import type { TubSettings } from '../tub-settings.ts';
import { meanOfMiddle } from './mean-of-middle.ts';
import { movesNoWater } from './no-water.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

/** Or less than that, where it is much of what the collectors gave, and of what a sound pipe loses. */
const MORE = { share: 0.08, timesSound: 1 };
const LIMITS = {
  /** How much more than usual the water loses on its way back. */
  moreK: 1,
  leastK: 0.35,
};
/** Without days of its own to compare with, two sensors of the usual class may differ by this. [K] */
const PAIR_K = 1;
const SUNNY_DAYS = 5;
const REFERENCE_DAYS = 8;
const LEAST_REFERENCE_DAYS = 4;
/** Of the first days, where the better ones stand for the pipe as it was: some may be bad already. */
const BETTER = 0.3;
/** One of the days may show this much less than all together must. */
const EACH_DAY = 0.6;
const SUNNY_W_PER_M2 = 500;
/** Small collectors and a quick pump warm the water by no more; a bare pipe takes much of that. */
const LEAST_DIFFERENCE_K = 2.5;
const LEAST_MINUTES = 30;
/** At rest in the dark both pipes are as cold as the air: how far a sensor that is off moves them apart. */
const SENSOR_SHARE = 0.6;
/** What coarse sensors may do by one step. [K] */
const COARSE_STEP_K = 0.55;
const RESTED_MIN = 180;

interface Gathered {
  dropK: number[];
  differenceK: number[];
  aboveAirK: number[];
  lPerMin: number[];
  restingK: number[];
}

interface Drop {
  /** Collector less water back at the tub, settled in good sun. */
  dropK: number;
  differenceK: number;
  /** What a sound pipe would lose. */
  soundK: number;
  /** Water back at the tub less water from it, at rest in the dark; null where they were not heard. */
  restingK: number | null;
}

/** The way back to the tub loses more than it did: insulation wet, missing or chewed. */
export const pipesLosingHeat: Rule<unknown, Gathered, Drop, typeof LIMITS> = {
  fault: 'pipes-losing-heat',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['collector/outlet'],
    ['pump/running', 'pump/power'],
  ],
  uses: ['collector/inlet', 'outdoor/temperature', 'pump/flow'],
  mutedBy: [
    'collector-sensor-loose',
    'to-and-from-swapped',
    'pair-offset',
    'running-without-flow',
    'flow-falling',
    'clock-wrong',
  ],
  daily: {
    begin: () => ({ dropK: [], differenceK: [], aboveAirK: [], lPerMin: [], restingK: [] }),
    add,
    close(gathered, { settings }): Drop | null {
      if (gathered.dropK.length < LEAST_MINUTES) return null;
      const middle = (values: readonly number[]) => quantile(values, 0.5);
      const lPerMin =
        gathered.lPerMin.length > 0 ? middle(gathered.lPerMin) : settings.loop.flowLPerMin;
      return {
        dropK: meanOfMiddle(gathered.dropK),
        differenceK: middle(gathered.differenceK),
        soundK: soundK(middle(gathered.aboveAirK), lPerMin, settings),
        restingK: gathered.restingK.length > 0 ? middle(gathered.restingK) : null,
      };
    },
    judge: (days, _, limits) => judged(days, limits),
  },
};

const USUAL_ABOVE_AIR_K = 35;

function add(gathered: Gathered, minute: Minute): void {
  const { states, collectorC, outletC, inletC, differenceK, airC, lPerMin, settings } = minute;
  if (settings.loop.pairAt === 'collectors' || outletC === null) return;
  if (states.pumpOn === false && states.dark && states.pumpMinutes > RESTED_MIN) {
    if (inletC !== null && gathered.restingK.length < 600) gathered.restingK.push(outletC - inletC);
    return;
  }
  if (movesNoWater(minute)) return;
  if (states.pumpOn !== true || states.settling || collectorC === null || differenceK === null)
    return;
  if (minute.clearWPerM2 < SUNNY_W_PER_M2 || differenceK < LEAST_DIFFERENCE_K) return;
  if (gathered.dropK.length >= 600) return;
  gathered.dropK.push(collectorC - outletC);
  gathered.differenceK.push(differenceK);
  gathered.aboveAirK.push(airC === null ? USUAL_ABOVE_AIR_K : collectorC - airC);
  if (lPerMin !== null) gathered.lPerMin.push(lPerMin);
}

/** Drop along an insulated way back [K]: 0.25 W/(m·K) over half of the pipe. */
const soundK = (aboveAirK: number, lPerMin: number, { loop }: TubSettings): number =>
  (PIPE_W_PER_M_K * (loop.pipeMetres / 2) * aboveAirK) / ((Math.max(0.5, lPerMin) / 60) * 4150);

function judged(days: readonly PastDay<Drop>[], limits: typeof LIMITS): Finding {
  const newest = days.slice(-SUNNY_DAYS).map(({ fact }) => fact);
  if (newest.length < SUNNY_DAYS) return 'blind';
  const past = days
    .slice(0, -SUNNY_DAYS)
    .slice(0, REFERENCE_DAYS)
    .map(({ fact }) => fact);
  const isKnown = past.length >= LEAST_REFERENCE_DAYS;
  const usual = isKnown
    ? quantile(
        past.map((day) => day.dropK - day.soundK),
        BETTER,
      )
    : 0;
  const more = newest.map((day) => day.dropK - day.soundK - usual);
  const enough = newest.map((day) => enoughK(day, isKnown, limits));
  if (more.every((moreK, i) => moreK < EACH_DAY * enough[i]!)) return 'gone';
  const isMuch =
    more.every((moreK, i) => moreK > EACH_DAY * enough[i]!) &&
    quantile(more, 0.5) > quantile(enough, 0.5);
  if (!isMuch || isSensor(past, newest, quantile(more, 0.5))) return 'between';
  const { dropK, differenceK, soundK: sound } = newest.at(-1)!;
  return {
    since: days.at(-SUNNY_DAYS)!.from,
    evidence: {
      dropK,
      usualDropK: sound + usual,
      differenceK,
      share: dropK / differenceK,
      days: SUNNY_DAYS,
    },
  };
}

/** How much more than usual is too much: a kelvin, or less where that is much of what is at stake. */
function enoughK(
  { differenceK, soundK }: Drop,
  isKnown: boolean,
  { moreK, leastK }: typeof LIMITS,
): number {
  if (!isKnown) return moreK + PAIR_K;
  return Math.min(moreK, Math.max(leastK, MORE.share * differenceK, MORE.timesSound * soundK));
}

/** Whether the sensor at the tub reads lower than it did at rest too: then it is the sensor. */
function isSensor(past: readonly Drop[], newest: readonly Drop[], moreK: number): boolean {
  const resting = (days: readonly Drop[]) => days.flatMap(({ restingK }) => restingK ?? []);
  const [before, now] = [resting(past), resting(newest)];
  if (before.length < 3 || now.length < 3) return false;
  const fellK = quantile(before, 0.5) - quantile(now, 0.5);
  return fellK > Math.max(COARSE_STEP_K, SENSOR_SHARE * moreK);
}
