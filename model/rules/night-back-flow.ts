import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import { isOutOfPlace } from './out-of-place.ts';
import { runsUnasked } from './pump-draw.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** Local hours in which idle collectors have long come down to the air. [min of the day] */
const SMALL_HOURS = { from: 120, to: 300 };
const REST_MIN = 180;
const LEAST_MINUTES = 60;
const LIMITS = {
  /** Share of the way from air to tub at which collectors stand; a healthy loop is at 0 or a little below. */
  warmAbove: 0.2,
  coldBelow: 0.15,
  /** In milder nights there is too little to tell it by; where the air is not heard, a loop as warm. */
  mildK: 15,
  /** Without the air: how many times faster than usual the tub cools, where that was learned or not. */
  fasterTimes: 1.5,
  unlearnedFasterTimes: 2.2,
};
type Limits = typeof LIMITS;
const NIGHTS = 2;
/** A tub that is hardly heated stands near the collectors by itself. */
const WARM_TUB_C = 30;
/** Without the air, how near the collectors stand to the tub, as a share of the usual. */
const NEAR_SHARE = 0.5;
const LEAST_NIGHTS = 3;
const SEASON_NIGHTS = 30;
const FORGOTTEN_MS = 14 * 24 * HOUR;

interface Gathered {
  ratios: number[];
  tubLessAirK: number[];
  tubLessCollectorK: number[];
}

export interface NightFact {
  /** null where the air was not heard, or the night too mild. */
  ratio: number | null;
  mild: boolean;
  tubLessCollectorK: number;
  /** How the tub cooled, by the collectors where no air was heard; null where nothing tells. */
  wPerK: number | null;
}

/** At night warm water rises out of the tub into the collectors, or leaks back through a pipe. */
export const nightBackFlow: Rule<unknown, Gathered, NightFact, Limits> = {
  fault: 'night-back-flow',
  severity: 'act',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['coldBelow', 'warmAbove']],
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['outdoor/temperature'],
  mutedBy: ['to-and-from-swapped', 'tub-sensor-out-of-water', 'pump-on-at-night'],
  daily: {
    begin: () => ({ ratios: [], tubLessAirK: [], tubLessCollectorK: [] }),
    add,
    close({ ratios, tubLessAirK, tubLessCollectorK }, { evidence }, { mildK }) {
      if (tubLessCollectorK.length < LEAST_MINUTES) return null;
      const isHeard = tubLessAirK.length >= LEAST_MINUTES;
      const mild = isHeard && quantile(tubLessAirK, 0.5) < mildK;
      return {
        ratio: isHeard && !mild ? quantile(ratios, 0.5) : null,
        mild,
        tubLessCollectorK: quantile(tubLessCollectorK, 0.5),
        wPerK: evidence?.night?.wPerK ?? null,
      };
    },
    judge,
  },
};

function add(gathered: Gathered, minute: Minute): void {
  const { states, minuteOfDay, tubC, collectorC, airC } = minute;
  if (minuteOfDay < SMALL_HOURS.from || minuteOfDay >= SMALL_HOURS.to || !states.dark) return;
  if (states.pumpOn !== false || states.pumpMinutes < REST_MIN || states.drained) return;
  if (tubC === null || collectorC === null || isOutOfPlace(minute) || runsUnasked(minute)) return;
  if (airC === null && tubC < WARM_TUB_C) return;
  gathered.tubLessCollectorK.push(tubC - collectorC);
  if (airC === null) return;
  gathered.tubLessAirK.push(tubC - airC);
  if (tubC - airC > 1) gathered.ratios.push((collectorC - airC) / (tubC - airC));
}

function judge(days: readonly PastDay<NightFact>[], now: PresentDay, limits: Limits): Finding {
  const telling = days.filter(({ fact }) => !fact.mild);
  const last = telling.slice(-NIGHTS);
  if (last.length < NIGHTS || now.t - last.at(-1)!.to > FORGOTTEN_MS) return 'blind';
  const usual = usualOf(telling.slice(-SEASON_NIGHTS, -NIGHTS), now.settings, limits);
  const warm = last.map(({ fact }) => isWarm(fact, usual, limits));
  if (warm.every((isSo) => isSo === false)) return 'gone';
  if (!warm.every((isSo) => isSo === true)) return 'between';
  const { fact } = last.at(-1)!;
  return {
    since: last[0]!.from,
    evidence: {
      ratio: fact.ratio,
      tubLessCollectorK: fact.tubLessCollectorK,
      usualTubLessCollectorK: usual.tubLessCollectorK,
      coolingWPerK: fact.wPerK,
      usualCoolingWPerK: usual.wPerK,
    },
  };
}

interface UsualNight {
  tubLessCollectorK: number | null;
  wPerK: number;
  learned: boolean;
}

function usualOf(
  nights: readonly PastDay<NightFact>[],
  settings: TubSettings,
  { mildK }: Limits,
): UsualNight {
  const cold = nights.filter(({ fact }) => fact.tubLessCollectorK >= mildK);
  const cooled = cold.flatMap(({ fact }) => fact.wPerK ?? []);
  const learned = cooled.length >= LEAST_NIGHTS;
  return {
    tubLessCollectorK:
      cold.length < LEAST_NIGHTS
        ? null
        : quantile(
            cold.map(({ fact }) => fact.tubLessCollectorK),
            0.5,
          ),
    wPerK: learned ? quantile(cooled, 0.5) : settings.tub.lossWPerK,
    learned,
  };
}

/** Whether collectors stood warm by the tub's heat; null where the night does not tell. */
function isWarm(fact: NightFact, usual: UsualNight, limits: Limits): boolean | null {
  if (fact.ratio !== null) {
    if (fact.ratio > limits.warmAbove) return true;
    return fact.ratio < limits.coldBelow ? false : null;
  }
  if (fact.tubLessCollectorK >= limits.mildK) return false;
  if (fact.wPerK !== null) {
    const faster = fact.wPerK / usual.wPerK;
    if (faster > (usual.learned ? limits.fasterTimes : limits.unlearnedFasterTimes)) return true;
    return faster < 1.25 ? false : null;
  }
  const { tubLessCollectorK } = usual;
  if (tubLessCollectorK === null) return null;
  return fact.tubLessCollectorK < NEAR_SHARE * tubLessCollectorK ? true : null;
}
