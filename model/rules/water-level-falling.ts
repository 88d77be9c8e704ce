import { quantile } from '../minutes/usual.ts';
import { HOUR, MINUTE } from '../readings.ts';
import { tubCapacityWhPerK } from '../tub-losses.ts';
import type { ClosedDay, Finding, PastDay, Rule } from './rule.ts';

const LIMITS = {
  /** Without a switch: less water warms more by the same heat, and cools faster too. */
  capacityShare: 0.85,
  fasterNights: 1.08,
  endsShare: 0.92,
};
const DAYS = 7;
const REFERENCE = { least: 7, most: 12 };
/** Undisturbed warming of a day from which its capacity can be told. [K] */
const LEAST_RISE_K = 2;
const LEAST_KWH = 1.5;

/** What a day tells of how much water there is. */
interface WaterDay {
  /** Metered heat less losses over what it warmed the tub by, as a part of what the set-up's litres take up. */
  capacityShare: number | null;
  /** The night's cooling as a loss of the set-up's litres. */
  wPerK: number | null;
}

/** The water goes down: a leak, or much splashing. */
export const waterLevelFalling: Rule<unknown, Record<string, never>, WaterDay, typeof LIMITS> = {
  fault: 'water-level-falling',
  severity: 'act',
  onMs: 10 * MINUTE,
  offMs: 2 * HOUR,
  limits: LIMITS,
  rising: [['capacityShare', 'endsShare']],
  needs: [['tub/level', 'pump/flow', 'pump/volume']],
  uses: ['tub/temperature', 'collector/inlet', 'collector/outlet'],
  mutedBy: [
    'tub-sensor-out-of-water',
    'to-and-from-swapped',
    'flow-sensor-drifting',
    'flow-too-high',
    'pair-offset',
  ],
  minute({ levelLow, settings, tubC }, _memory, _point, days, limits): Finding {
    if (settings.owner.drained || settings.owner.changingWater) return 'gone';
    if (levelLow === null) return byCapacity(days, settings.owner.waterChangedAt, limits);
    return levelLow ? { evidence: { levelLow, tubC } } : 'gone';
  },
  daily: {
    begin: () => ({}),
    add: () => {},
    close: waterOf,
  },
};

function waterOf(_: unknown, { evidence, settings, learned }: ClosedDay): WaterDay | null {
  if (!evidence || settings.owner.drained) return null;
  const whPerK = tubCapacityWhPerK(settings.tub.litres);
  let [kwh, riseK] = [0, 0];
  for (const hour of evidence.hours) {
    if (hour.driveKwhMinPerL === 0 || hour.meteredKwh === null || hour.riseK <= 0) continue;
    kwh += hour.meteredKwh - (learned.lossWPerK.value * hour.lossKh) / 1000;
    riseK += hour.riseK;
  }
  const isTold = riseK >= LEAST_RISE_K && kwh >= LEAST_KWH;
  const wPerK = evidence.night?.wPerK ?? null;
  if (!isTold && wPerK === null) return null;
  return { capacityShare: isTold ? (1000 * kwh) / (riseK * whPerK) : null, wPerK };
}

/** Judges by the heat that warms the tub by a kelvin: weak, so that both signs must agree. */
function byCapacity(
  days: readonly PastDay<WaterDay>[],
  changedAt: number | null,
  limits: typeof LIMITS,
): Finding {
  const since = days.filter(({ from }) => from >= (changedAt ?? 0)).map(({ fact }) => fact);
  const shares = since.flatMap(({ capacityShare }) => capacityShare ?? []);
  const losses = since.flatMap(({ wPerK }) => wPerK ?? []);
  const capacity = againstFirst(shares);
  const loss = againstFirst(losses);
  if (capacity === null || loss === null) return 'blind';
  if (capacity > limits.endsShare) return 'gone';
  if (capacity > limits.capacityShare || loss < limits.fasterNights) return 'between';
  return {
    severity: 'look',
    evidence: { capacityShare: capacity, coolingShare: loss, days: DAYS },
  };
}

/** Middle of the last days' values over that of the first; null where there are too few. */
function againstFirst(values: readonly number[]): number | null {
  const first = values.slice(0, -DAYS).slice(0, REFERENCE.most);
  if (first.length < REFERENCE.least) return null;
  return quantile(values.slice(-DAYS), 0.5) / quantile(first, 0.5);
}
