import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { HOUR } from '../readings.ts';
import { isOutOfPlace } from './out-of-place.ts';
import type { Finding, PastDay, PresentDay, Rule } from './rule.ts';

/** How far a day's median may stray from the loop's own first days. */
const LIMITS = { inletK: 0.7, outletK: 0.8 };
const CHECKS = 3;
const REFERENCE_DAYS = 6;
/** What thermometers on the same water never differ by: then one of them is elsewhere. [K] */
const SAME_WATER_K = 5;
const LEAST_MINUTES = 20;
const MOST_MINUTES = 900;
const FORGOTTEN_MS = 7 * 24 * HOUR;

interface Gathered {
  /** Water on its way from the tub less the tub, and the collectors less what comes back of it. [K] */
  inletK: number[];
  outletK: number[];
}

/** Medians of a day at settled running; null where there were too few minutes. */
export interface PairFact {
  inletK: number | null;
  outletK: number | null;
}

/** One thermometer of the pair has come to read more or less than the water that it sits in. */
export const pairOffset: Rule<unknown, Gathered, PairFact, typeof LIMITS> = {
  fault: 'pair-offset',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  needs: [
    ['collector/inlet', 'collector/outlet'],
    ['tub/temperature', 'collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  mutedBy: [
    'tub-sensor-out-of-water',
    'to-and-from-swapped',
    'collector-sensor-loose',
    'running-without-flow',
  ],
  daily: {
    begin: () => ({ inletK: [], outletK: [] }),
    add(gathered, minute) {
      if (!isTelling(minute) || isOutOfPlace(minute)) return;
      const { tubC, inletC, outletC, collectorC } = minute;
      take(gathered.inletK, inletC, tubC);
      take(gathered.outletK, collectorC, outletC);
    },
    close({ inletK, outletK }) {
      const fact = { inletK: medianOf(inletK), outletK: medianOf(outletK) };
      return fact.inletK === null && fact.outletK === null ? null : fact;
    },
    judge(days, now, limits): Finding {
      const inlet = strayed(days, now, 'inlet', limits.inletK);
      const outlet = strayed(days, now, 'outlet', limits.outletK);
      const found = [inlet, outlet].find((one) => typeof one === 'object');
      if (found) return found;
      if (inlet === 'blind') return outlet;
      return outlet === 'blind' || inlet === outlet ? inlet : 'between';
    },
  },
};

/** Whether the loop runs evenly, with the tub's own water in it. */
function isTelling({ states, differenceK, usual, lPerMin }: Minute): boolean {
  if (states.pumpOn !== true || states.settling || states.bathing || states.topUp) return false;
  if (lPerMin !== null && lPerMin < 0.4 * usual.lPerMin) return false;
  return differenceK === null || (differenceK > 0 && differenceK < 1.6 * usual.fullSunK);
}

function take(values: number[], a: number | null, b: number | null): void {
  if (a === null || b === null || Math.abs(a - b) > SAME_WATER_K) return;
  if (values.length < MOST_MINUTES) values.push(a - b);
}

const medianOf = (values: readonly number[]): number | null =>
  values.length < LEAST_MINUTES ? null : quantile(values, 0.5);

/** How one of the two strays from its first days since it was last moved. */
function strayed(
  days: readonly PastDay<PairFact>[],
  now: PresentDay,
  which: 'inlet' | 'outlet',
  limitK: number,
): Finding {
  const point = `collector/${which}`;
  const { movedAt } = now.settings.owner;
  const since = Math.max(movedAt[point] ?? 0, movedAt['*'] ?? 0);
  const known = days.filter(({ from, fact }) => from >= since && fact[`${which}K`] !== null);
  const newest = known.at(-1);
  if (!newest || now.t - newest.to > FORGOTTEN_MS || known.length < 2 * CHECKS) return 'blind';
  const values = known.map(({ fact }) => fact[`${which}K`]!);
  const usualK = reference(values, limitK / 2);
  const checks = values.slice(-CHECKS).map((value) => value - usualK);
  const strays = checks.map((byK) => isStray(byK, which, limitK));
  if (strays.every((isSo) => !isSo)) return 'gone';
  const sameSide = checks.every((byK) => byK > 0) || checks.every((byK) => byK < 0);
  if (!sameSide || !strays.every(Boolean)) return 'between';
  const middleK = quantile(checks, 0.5);
  // the collectors stand on the other side of the difference: the sensor reads high where it is small
  const readsHighK = which === 'inlet' ? middleK : -middleK;
  return {
    since: known.at(-CHECKS)!.from,
    evidence: {
      sensor: point,
      readsHighK,
      correctionK: -readsHighK,
      differenceK: values.at(-1)!,
      usualDifferenceK: usualK,
    },
  };
}

/** Collectors that stand farther above what comes back than usual tell of the pipe between as well. */
const isStray = (byK: number, which: 'inlet' | 'outlet', limitK: number): boolean =>
  which === 'inlet' ? Math.abs(byK) > limitK : byK < -limitK;

/** Middle of the first days, of those alone that are like the first three. [K] */
function reference(values: readonly number[], nearK: number): number {
  const first = values.slice(0, REFERENCE_DAYS);
  const anchor = quantile(first.slice(0, CHECKS), 0.5);
  return quantile(
    first.filter((value) => Math.abs(value - anchor) <= nearK),
    0.5,
  );
}
