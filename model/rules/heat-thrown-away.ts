import type { Minute } from '../minutes/minute.ts';
import { quantile } from '../minutes/usual.ts';
import { MINUTE } from '../readings.ts';
import type { Finding, PastDay, Rule } from './rule.ts';

const LIMITS = {
  /** Collectors that are not even this much above the tub cost more than they bring. */
  worthK: 0.5,
  /** Heat thrown away in a day. */
  lookKwh: 0.3,
  actKwh: 1,
  goneBelowKwh: 0.1,
};
type Limits = typeof LIMITS;
const LASTS_MIN = 10;
/** A collector that was this much hotter in the same run tells the truth. [K] */
const HOT_K = 4;
/** Below it the pump runs against frost. [°C] */
const FREEZING_C = 8;
/** What a litre in a minute carries, per kelvin. [W] */
const W_PER_L_MIN_K = 4150 / 60;
/** A healthy loop stops well above the tub; one that never did has sensors that differ. [K] */
const STOPS_ABOVE_K = 1.5;
/** By so much a pair of sensors may read more than there is: no more is surely a gain. [K] */
const PAIR_K = 0.8;
const REFERENCE_DAYS = 6;
const MOST_OFFSET_K = 1.5;
const MOST_MINUTES = 900;

interface Memory {
  /** Heat thrown away in each of the last 24 hours [kWh], by the hour's number since 1970, mod 24. */
  hours: number[];
  hour: number;
  minutes: number;
  /** Start of the run in which the collectors were seen to be hot [ms]. */
  hotRun: number;
}

/** Difference at which the loop's runs end, lowest of a day. [K] */
export interface LowFact {
  lowK: number;
}

/** The pump goes on while the loop takes heat out of the tub. */
export const heatThrownAway: Rule<Memory, number[], LowFact, Limits> = {
  fault: 'heat-thrown-away',
  severity: 'look',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['goneBelowKwh', 'lookKwh', 'actKwh']],
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['collector/inlet', 'collector/outlet', 'pump/flow'],
  mutedBy: [
    'tub-sensor-out-of-water',
    'to-and-from-swapped',
    'collector-sensor-loose',
    'controller-disagrees',
    'pump-on-at-night',
  ],
  memory: () => ({ hours: new Array<number>(24).fill(0), hour: 0, minutes: 0, hotRun: 0 }),
  minute(minute, memory, _, days, limits): Finding {
    const { states, differenceK, tubC, collectorC } = minute;
    goOn(memory, minute.t);
    const lost = sum(memory.hours);
    if (differenceK === null || states.pumpOn === null) return 'blind';
    if (states.pumpOn && differenceK >= HOT_K) memory.hotRun = minute.pump.changedAt;
    const lossW = isForNothing(minute, memory, days, limits) ? lossNowW(minute, limits) : 0;
    memory.minutes = lossW > 0 ? memory.minutes + 1 : 0;
    if (memory.minutes >= LASTS_MIN) {
      const perMinute = lossW / 60_000;
      // what the first minutes cost counts as soon as they are sure to be no moment
      memory.hours[memory.hour % 24]! +=
        memory.minutes === LASTS_MIN ? LASTS_MIN * perMinute : perMinute;
    }
    if (lost < limits.goneBelowKwh && memory.minutes < LASTS_MIN) return 'gone';
    if (lost < limits.lookKwh || memory.minutes < LASTS_MIN) return 'between';
    return {
      severity: lost >= limits.actKwh ? 'act' : 'look',
      since: minute.t - memory.minutes * MINUTE,
      evidence: {
        differenceK,
        collectorC,
        tubC,
        backLessAwayK: measuredK(minute),
        thrownAwayKwh: lost,
        lastsMinutes: memory.minutes,
      },
      costW: lossW,
      costKwh: lost,
    };
  },
  daily: {
    begin: () => [],
    add(gathered, { states, differenceK }) {
      if (states.pumpOn !== true || states.settling || !states.sunPossible) return;
      if (differenceK !== null && gathered.length < MOST_MINUTES) gathered.push(differenceK);
    },
    close: (gathered) => (gathered.length < LASTS_MIN ? null : { lowK: quantile(gathered, 0.05) }),
  },
};

function goOn(memory: Memory, t: number): void {
  const hour = Math.floor(t / 3_600_000);
  const passed = memory.hour === 0 ? 24 : Math.min(24, hour - memory.hour);
  for (let i = 0; i < passed; i++) memory.hours[(hour - i) % 24] = 0;
  memory.hour = hour;
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** What the water brings back less what it takes away; null where that is not measured. [K] */
const measuredK = ({ inletC, outletC }: Minute): number | null =>
  inletC === null || outletC === null ? null : outletC - inletC;

/** Whether the pump runs, in daylight and for no other good reason, with nothing to gain. */
function isForNothing(
  minute: Minute,
  { hotRun }: Memory,
  days: readonly PastDay<LowFact>[],
  { worthK }: Limits,
): boolean {
  const { states, differenceK, collectorC, tubC, settings, pump } = minute;
  if (!states.pumpOn || states.settling || states.drained || states.dark) return false;
  if (collectorC! < FREEZING_C || states.freezeRun) return false;
  // a tub above its limit may well be cooled on purpose
  if (tubC! >= settings.tub.limitC) return false;
  const backK = measuredK(minute);
  if (backK !== null && backK < 0) return differenceK! < STOPS_ABOVE_K;
  if (backK !== null && backK > PAIR_K) return false;
  if (differenceK! >= worthK + knownOffsetK(days)) return false;
  // a sensor that hangs in the air reads cold as well: then the tub does not cool
  const cools = states.pumpMinutes >= 60 && (minute.slopePerH('tubC', 60) ?? 0) < -0.1;
  return cools || hotRun === pump.changedAt;
}

/** By how much the sensors are known to make the difference look smaller than it is, ≤ 0. [K] */
function knownOffsetK(days: readonly PastDay<LowFact>[]): number {
  const first = days.slice(0, REFERENCE_DAYS).map(({ fact }) => fact.lowK);
  if (first.length === 0) return 0;
  return Math.max(-MOST_OFFSET_K, Math.min(0, quantile(first, 0.5) - STOPS_ABOVE_K));
}

/** Heat that the loop takes out of the tub just now. [W] */
function lossNowW(minute: Minute, { worthK }: Limits): number {
  const lPerMin = minute.lPerMin ?? minute.usual.lPerMin;
  const backK = measuredK(minute);
  const downK = backK !== null && backK < 0 ? -backK : worthK - minute.differenceK!;
  return Math.max(0, downK) * lPerMin * W_PER_L_MIN_K;
}
