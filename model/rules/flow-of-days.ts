import type { Minute } from '../minutes/minute.ts';
import { quantile, spoils } from '../minutes/usual.ts';
import type { Daily, PastDay } from './rule.ts';

/** Sun that is strong enough to compare what it makes of the water. [W/m²], [°] */
const SUNNY = { wPerM2: 400, incidenceDeg: 60 };
const LEAST_MINUTES = 30;
const MOST_MINUTES = 600;
/** A pump on its own panel is as fast as the sun lets it: its best minutes tell. */
const BEST = 0.9;
export const REFERENCE_DAYS = 10;

interface Gathered {
  lPerMin: number[];
  kPerSun: number[];
  differenceK: number[];
  isSpoilt: boolean;
}

/** What a day tells of the flow, by the meter and by the collectors. */
export interface FlowFact {
  /** Settled; null where no meter was heard. */
  lPerMin: number | null;
  /** Collector less tub for the sun there was, or by a clear sky could be, in its best minutes. [K·m²/W] */
  kPerSun: number | null;
  differenceK: number | null;
}

/** What rules about the flow keep of a day: nothing of one in part of which something worse was told. */
export const flowDaily: Daily<Gathered, FlowFact> = {
  begin: () => ({ lPerMin: [], kPerSun: [], differenceK: [], isSpoilt: false }),
  add(gathered, minute) {
    const { states, lPerMin, differenceK } = minute;
    gathered.isSpoilt ||= spoils.some(minute.isTold);
    if (states.pumpOn !== true || states.settling) return;
    if (lPerMin !== null && gathered.lPerMin.length < MOST_MINUTES) gathered.lPerMin.push(lPerMin);
    const sun = sunOf(minute);
    if (sun === null || differenceK === null || gathered.kPerSun.length >= MOST_MINUTES) return;
    gathered.kPerSun.push(differenceK / sun);
    gathered.differenceK.push(differenceK);
  },
  close({ lPerMin, kPerSun, differenceK, isSpoilt }, { settings }) {
    if (isSpoilt) return null;
    const isMetered = lPerMin.length >= LEAST_MINUTES;
    const isSunny = kPerSun.length >= LEAST_MINUTES;
    if (!isMetered && !isSunny) return null;
    const middle = settings.pump.supply === 'mains' ? 0.5 : BEST;
    return {
      lPerMin: isMetered ? quantile(lPerMin, middle) : null,
      kPerSun: isSunny ? quantile(kPerSun, BEST) : null,
      differenceK: isSunny ? quantile(differenceK, BEST) : null,
    };
  },
};

/** The sun in the collectors' plane where it is strong; null elsewhere. [W/m²] */
function sunOf({ sunWPerM2, clearWPerM2, incidenceDeg }: Minute): number | null {
  const isStrong = clearWPerM2 >= SUNNY.wPerM2 && incidenceDeg <= SUNNY.incidenceDeg;
  if (!isStrong || (sunWPerM2 !== null && sunWPerM2 < SUNNY.wPerM2)) return null;
  return sunWPerM2 ?? clearWPerM2;
}

/** Days since the filter was cleaned, or all of them where that was never said. */
export const sinceCleaned = (
  days: readonly PastDay<FlowFact>[],
  cleanedAt: number | null,
): readonly PastDay<FlowFact>[] => days.filter(({ to }) => cleanedAt === null || to > cleanedAt);
