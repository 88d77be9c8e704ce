import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import type { Finding, PastDay, Present, Rule } from './rule.ts';

/** Water in the collectors is about to freeze: they radiate to the sky, and are colder than the air. */
const FREEZING = { atC: 2, lastsMin: 10 };
/** A controller that pumps warm water through should have done so by then. */
const LEFT_ALONE = { belowC: 4, atC: 3, lastsMin: 20 };
/** Loops that are made for frost are only mentioned, in hard frost. [°C] */
const HARD_FROST_C = -15;
const ENDS_ABOVE_C = 7;
/** What the collectors are expected to come down to in the coming night, told in the evening. [°C] */
const FORECAST_C = 1;
/** The evening, from so long after dark on, as the collectors have come down to the air. [min] */
const EVENING = { fromMin: 60, toMin: 240 };
const USUAL_DROP_K = 5;
const LEAST_DROP_K = 2;
const MOST_DROP_K = 12;
const NIGHTS = 7;
const LEAST_NIGHTS = 2;
const DAY = 24 * HOUR;

interface Memory {
  /** How long the pump has rested on collectors so cold [min]. */
  freezingMin: number;
  leftMin: number;
  darkMin: number;
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
export const freezeDanger: Rule<Memory, Gathered, Night> = {
  fault: 'freeze-danger',
  severity: 'act',
  onMs: 0,
  offMs: HOUR,
  needs: [['collector/temperature']],
  uses: ['pump/running', 'pump/power', 'pump/flow', 'outdoor/temperature'],
  mutedBy: ['device-silent', 'broker-lost', 'to-and-from-swapped'],
  memory: () => ({ freezingMin: 0, leftMin: 0, darkMin: 0 }),
  minute(minute, memory, _, days): Finding {
    const { collectorC, states, settings, t } = minute;
    memory.darkMin = states.dark ? memory.darkMin + 1 : 0;
    if (states.drained) return 'gone';
    if (collectorC === null) return 'blind';
    const isStill = states.pumpOn !== true;
    const count = (was: number, isSo: boolean) => (isStill && isSo ? was + 1 : 0);
    memory.freezingMin = count(memory.freezingMin, collectorC <= FREEZING.atC);
    memory.leftMin = count(memory.leftMin, collectorC <= LEFT_ALONE.belowC);
    if (collectorC > ENDS_ABOVE_C) return 'gone';
    if (settings.loop.fluid === 'antifreeze' || settings.loop.freeze === 'drain-back')
      return collectorC < HARD_FROST_C ? told(minute, 'note') : 'between';
    const isLeft = collectorC <= LEFT_ALONE.atC && memory.leftMin >= LEFT_ALONE.lastsMin;
    if (settings.loop.freeze === 'recirculates') {
      return isLeft ? { ...told(minute, 'danger'), since: t - memory.leftMin * MINUTE } : 'between';
    }
    if (memory.freezingMin >= FREEZING.lastsMin)
      return { ...told(minute, 'danger'), since: t - memory.freezingMin * MINUTE };
    const isEvening = memory.darkMin >= EVENING.fromMin && memory.darkMin <= EVENING.toMin;
    if (!isEvening || !isStill || states.pumpMinutes < EVENING.fromMin) return 'between';
    const lowestC = collectorC - dropAhead(days, t);
    if (lowestC > FORECAST_C || (minute.slopePerH('collectorC', 60) ?? 0) > 0) return 'between';
    return told(minute, 'act', lowestC);
  },
  daily: {
    begin: () => ({ eveningC: null, lowestC: null, darkMin: 0 }),
    add(gathered, { states, collectorC, minuteOfDay }) {
      if (states.pumpOn === true || collectorC === null || !states.dark) {
        gathered.darkMin = 0;
        return;
      }
      gathered.darkMin++;
      if (minuteOfDay < 720)
        gathered.lowestC = Math.min(gathered.lowestC ?? collectorC, collectorC);
      else if (gathered.darkMin === EVENING.fromMin) gathered.eveningC = collectorC;
    },
    close: ({ eveningC, lowestC }) =>
      eveningC === null && lowestC === null ? null : { eveningC, lowestC },
  },
};

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
