import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { Finding, PastDay, Present, Rule } from './rule.ts';

const LIMITS = {
  /** Water in the collectors is about to freeze: they radiate to the sky, and are colder than the air. */
  freezingC: 2,
  freezingMin: 10,
  /** A controller that pumps warm water through should have done so by then. */
  leftBelowC: 4,
  leftAtC: 3,
  leftMin: 20,
  /** Loops that are made for frost are only mentioned, in hard frost. */
  hardFrostC: -15,
  endsAboveC: 7,
  /** What the collectors are expected to come down to in the coming night, told in the evening. */
  forecastC: 1,
};
/** How long after dark collectors have come down to the air, and the night is foreseen. [min] */
const EVENING_MIN = 60;
const USUAL_DROP_K = 5;
const LEAST_DROP_K = 2;
const MOST_DROP_K = 12;
const NIGHTS = 7;
const LEAST_NIGHTS = 2;
const NOON = 720; // minute of the day
const DAY = 24 * HOUR;

interface Memory {
  /** How long the pump has rested on collectors so cold [min]. */
  freezingMin: number;
  leftMin: number;
  darkMin: number;
  /** How cold this night is expected to make the collectors, as foreseen in the evening [°C]. */
  expectedC: number | null;
}

/** What a night did: collectors an hour after dark, and the coldest of the night that ended. [°C] */
interface Night {
  eveningC: number | null;
  lowestC: number | null;
}

interface Gathered extends Night {
  darkMin: number;
}

/** The water in collectors and pipes is about to freeze, and would burst them. */
export const freezeDanger: Rule<Memory, Gathered, Night, typeof LIMITS> = {
  fault: 'freeze-danger',
  severity: 'act',
  onMs: 0,
  offMs: HOUR,
  limits: LIMITS,
  rising: [['freezingC', 'leftAtC', 'leftBelowC', 'endsAboveC']],
  needs: [['collector/temperature']],
  uses: ['pump/running', 'pump/power', 'pump/flow', 'outdoor/temperature'],
  mutedBy: ['to-and-from-swapped tub/temperature'],
  memory: () => ({ freezingMin: 0, leftMin: 0, darkMin: 0, expectedC: null }),
  minute(minute, memory, _, days, limits): Finding {
    const { collectorC, states, settings, t } = minute;
    memory.darkMin = states.dark ? memory.darkMin + 1 : 0;
    if (!states.dark) memory.expectedC = null;
    if (states.drained) return 'gone';
    if (collectorC === null) return 'blind';
    if (isEvening(minute, memory)) memory.expectedC = collectorC - dropAhead(days, t);
    const isForeseen = memory.expectedC !== null && memory.expectedC <= limits.forecastC;
    const isStill = states.pumpOn !== true;
    const count = (was: number, isSo: boolean) => (isStill && isSo ? was + 1 : 0);
    memory.freezingMin = count(memory.freezingMin, collectorC <= limits.freezingC);
    memory.leftMin = count(memory.leftMin, collectorC <= limits.leftBelowC);
    if (collectorC > limits.endsAboveC && !(isForeseen && isUnprotected(settings))) return 'gone';
    if (settings.loop.fluid === 'antifreeze' || settings.loop.freeze === 'drain-back')
      return collectorC < limits.hardFrostC ? told(minute, 'note') : 'between';
    const isLeft = collectorC <= limits.leftAtC && memory.leftMin >= limits.leftMin;
    if (settings.loop.freeze === 'recirculates') {
      return isLeft ? { ...told(minute, 'danger'), since: t - memory.leftMin * MINUTE } : 'between';
    }
    if (memory.freezingMin >= limits.freezingMin)
      return { ...told(minute, 'danger'), since: t - memory.freezingMin * MINUTE };
    return isForeseen ? told(minute, 'act', memory.expectedC) : 'between';
  },
  daily: {
    begin: () => ({ eveningC: null, lowestC: null, darkMin: 0 }),
    add(gathered, { states, collectorC, minuteOfDay }) {
      if (states.pumpOn === true || collectorC === null || !states.dark) {
        gathered.darkMin = 0;
        return;
      }
      gathered.darkMin++;
      if (minuteOfDay < NOON)
        gathered.lowestC = Math.min(gathered.lowestC ?? collectorC, collectorC);
      else if (gathered.darkMin === EVENING_MIN) gathered.eveningC = collectorC;
    },
    close: ({ eveningC, lowestC }) =>
      eveningC === null && lowestC === null ? null : { eveningC, lowestC },
  },
};

const isEvening = ({ minuteOfDay, states }: Minute, { darkMin }: Memory): boolean =>
  darkMin === EVENING_MIN &&
  minuteOfDay >= NOON &&
  states.pumpOn !== true &&
  states.pumpMinutes >= EVENING_MIN;

const isUnprotected = ({ loop }: TubSettings): boolean =>
  loop.freeze === 'none' && loop.fluid !== 'antifreeze';

function told(
  { collectorC, airC, states, settings }: Minute,
  severity: 'note' | 'act' | 'danger',
  expectedC: number | null = null,
): Present {
  const { freeze, fluid } = settings.loop;
  return {
    severity,
    evidence: {
      collectorC,
      airC,
      expectedC,
      pumpOn: states.pumpOn,
      protection: fluid === 'antifreeze' ? fluid : freeze,
    },
  };
}

/** How far the collectors fall from an hour after dark to the coldest, as in the last nights. [K] */
function dropAhead(days: readonly PastDay<Night>[], t: number): number {
  const drops = days.slice(-NIGHTS - 1).flatMap(({ fact, from }, i, all) => {
    const evening = all[i - 1];
    if (!evening || from - evening.to > HOUR || t - from > 14 * DAY) return [];
    const { eveningC } = evening.fact;
    return eveningC === null || fact.lowestC === null ? [] : [eveningC - fact.lowestC];
  });
  if (drops.length < LEAST_NIGHTS) return USUAL_DROP_K;
  return Math.max(LEAST_DROP_K, Math.min(MOST_DROP_K, quantile(drops, 0.5)));
}
