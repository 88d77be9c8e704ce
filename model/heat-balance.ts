import type { BalanceHour } from './balance-hours.ts';
import { returnPipeLitres } from './return-pipe.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/** What the tub's own balance tells of the loop, and of other heat that comes at certain hours. */
export interface HeatBalance {
  /** Flow in use: the heat that came, by what would have come at 1 l/min. */
  flowLPerMin: number;
  /** Standard uncertainty from the scatter of the hours alone. */
  scatterLPerMin: number;
  /** Water that starts cost: what stood in the pipe back to the tub, its wall counted as water [l]. */
  standingLitres: number;
  /** Heat on the tub by sun in the collectors' plane, as an area [m²]. */
  sunM2: number;
  /** Other heat by the local hour of the day [W]: filter pump, and what nobody told of. */
  otherW: number[];
  /** Hours with the pump running that it rests on. */
  hours: number;
}

/** What is thought of the parameters before; heat from elsewhere is never negative. */
const PRIOR = {
  // A good cover lets a fiftieth of the sun on it through to some 3.5 m² of water.
  sunM2: { mean: 0.06, uncertainty: 0.03 }, // m²
  otherW: { mean: 0, uncertainty: 60 }, // W
};
/** An hour's temperature is known to this at least: steps, noise, uneven mixing. [K] */
const LEAST_NOISE_K = 0.03;
const TURNS = 6;
const LEAST_RUNNING_HOURS = 8;
const HOURS = 24;
/** Parameters before those of the hours of the clock: flow, sun, standing water. */
const SHARED = 3;
/** How far the standing water may be off what the pipe's length tells, relative. */
const STANDING_UNCERTAINTY = 0.4;

/**
 * Least squares over undisturbed hours, by day and night:
 *   C · rise + UA · ∫(T_tub − T_air) = flow · drive − litres · standing + area · sun + other(hour),
 * robust against hours in which something went on that no sensor told of.
 *
 * @returns null where the pump ran too little
 */
export function heatBalance(
  hours: readonly BalanceHour[],
  lossWPerK: number,
  settings: TubSettings,
): HeatBalance | null {
  const running = hours.filter(({ driveKwhMinPerL }) => driveKwhMinPerL > 0.01).length;
  if (running < LEAST_RUNNING_HOURS) return null;
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  const rows = hours.map((hour) => ({
    x: [hour.driveKwhMinPerL, hour.sunKwhPerM2, -hour.standingKwhPerL, hour.hours / 1000],
    slot: SHARED + hour.hour,
    y: kwhPerK * hour.riseK + (lossWPerK / 1000) * hour.lossKh,
  }));
  const pipe = returnPipeLitres(settings);
  const standing = { mean: pipe, uncertainty: STANDING_UNCERTAINTY * pipe + 0.1 };
  let weights = rows.map(() => 1);
  const none = new Set<number>(); // parameters that came out below 0 are held at 0
  let noise = 0.1 * kwhPerK;
  let fit = { values: [] as number[], inverse: [] as number[][] };
  for (let turn = 0; turn < TURNS; turn++) {
    fit = solve(rows, weights, noise, standing, none);
    fit.values.forEach((value, i) => {
      if (i >= SHARED && value < 0) none.add(i);
    });
    const away = rows.map((row) => Math.abs(row.y - predicted(row, fit.values)));
    noise = Math.max(LEAST_NOISE_K * kwhPerK, 1.4826 * median(away));
    weights = away.map((distance) => Math.min(1, (2 * noise) / Math.max(distance, 1e-9)) ** 2);
  }
  const [flowLPerMin, sunM2, standingLitres, ...otherW] = fit.values as [
    number,
    number,
    number,
    ...number[],
  ];
  const scatterLPerMin = noise * Math.sqrt(fit.inverse[0]![0]!);
  return { flowLPerMin, scatterLPerMin, standingLitres, sunM2, otherW, hours: running };
}

/** What is thought of a parameter before the hours have told. */
interface Thought {
  mean: number;
  uncertainty: number;
}

interface Row {
  x: number[]; // drive, sun, standing water, and the hour's length for its slot
  slot: number;
  y: number; // kWh
}

const predicted = ({ x, slot }: Row, values: readonly number[]): number =>
  x[0]! * values[0]! + x[1]! * values[1]! + x[2]! * values[2]! + x[3]! * values[slot]!;

function solve(
  rows: readonly Row[],
  weights: readonly number[],
  noise: number,
  standing: Thought,
  none: ReadonlySet<number>,
) {
  const n = SHARED + HOURS;
  const matrix = Array.from({ length: n }, () => new Float64Array(n));
  const right = new Float64Array(n);
  const held = (i: number, { mean, uncertainty }: Thought) => {
    if (none.has(i)) {
      matrix[i]![i]! += 1e12;
      return;
    }
    const weight = (noise / uncertainty) ** 2;
    matrix[i]![i]! += weight;
    right[i]! += weight * mean;
  };
  held(1, PRIOR.sunM2);
  held(2, standing);
  for (let i = SHARED; i < n; i++) held(i, PRIOR.otherW);
  rows.forEach((row, index) => {
    const at = [0, 1, 2, row.slot];
    for (let i = 0; i < at.length; i++) {
      right[at[i]!]! += weights[index]! * row.x[i]! * row.y;
      for (let j = 0; j < at.length; j++) {
        matrix[at[i]!]![at[j]!]! += weights[index]! * row.x[i]! * row.x[j]!;
      }
    }
  });
  const inverse = inverted(matrix);
  const values = inverse.map((row) => row.reduce((sum, value, j) => sum + value * right[j]!, 0));
  return { values, inverse };
}

/** Inverse of a symmetric positive definite matrix, by Gauss and Jordan. */
function inverted(matrix: readonly Float64Array[]): number[][] {
  const n = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...row.map((_, j) => (i === j ? 1 : 0))]);
  for (let i = 0; i < n; i++) {
    const pivot = rows[i]![i]!;
    for (let k = 0; k < 2 * n; k++) rows[i]![k]! /= pivot;
    for (let j = 0; j < n; j++) {
      if (j === i) continue;
      const factor = rows[j]![i]!;
      if (factor !== 0) for (let k = 0; k < 2 * n; k++) rows[j]![k]! -= factor * rows[i]![k]!;
    }
  }
  return rows.map((row) => row.slice(n));
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? 0;
}
