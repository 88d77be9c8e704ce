import { DAY_SWING } from './air.ts';
import type { BalanceHour } from './balance-hours.ts';
import { returnPipeLitres } from './return-pipe.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/** What the tub's own balance tells of the loop, and of other heat that comes at certain hours. */
export interface HeatBalance {
  /** Flow in use: the heat that came, by what would have come at 1 l/min. */
  flowLPerMin: number;
  /** Standard uncertainty from the scatter of the hours, and from what they cannot tell apart. */
  scatterLPerMin: number;
  /**
   * Water that starts cost: what stood in the pipe back to the tub, its wall counted as water; negative
   * where starts bring more than their readings tell [l].
   */
  standingLitres: number;
  /**
   * Standard uncertainty of the heat of these hours, relative: from the same causes, and from how far
   * parts of their time disagree.
   */
  heatUncertainty: number;
  /** Heat on the tub by sun in the collectors' plane, as an area [m²]. */
  sunM2: number;
  /** Other heat by the local hour of the day [W]: filter pump, and what nobody told of. */
  otherW: number[];
  /** Hours with the pump running that it rests on. */
  hours: number;
}

/** What is thought of a parameter before the hours have told. */
interface Thought {
  mean: number;
  uncertainty: number;
}

/** A good cover lets a fiftieth of the sun on it through to some 3.5 m² of water. [m²] */
const SUN: Thought = { mean: 0.06, uncertainty: 0.03 };
/** Days warmer than they were taken for, where no outdoor sensor tells. [K] */
const WARMER: Thought = {
  mean: 0,
  uncertainty: DAY_SWING.uncertaintyK,
};
/** How far the standing water may be off what the pipe's length tells, relative. */
const STANDING_UNCERTAINTY = 0.6;
/** Other heat of an hour of the clock: at most hours there is none, at some a filter pump's. [W] */
const OTHER = { first: 60, least: 8, most: 200 };
/** An hour's temperature is known to this at least: steps, noise, uneven mixing. [K] */
const LEAST_NOISE_K = 0.03;
/** What the flow in use makes of an hour's heat is off by this part of it, for reasons of the hour. */
const OWN_SHARE = 0.08;
/** So many parts of the time, each with as much of the loop's heat, are asked for a flow of their own. */
const PARTS = 4;
const TURNS = 8;
/** What tells an hour with the loop running. [kWh·min/l] */
export const LEAST_DRIVE = 0.01;
const LEAST_RUNNING_HOURS = 8;
const HOURS = 24;
/** Parameters before those of the hours of the clock: flow, sun, standing water, warmer days. */
const FLOW = 0;
const SUN_AREA = 1;
const STANDING = 2;
const SHARED = 4;

/**
 * Least squares over undisturbed hours, by day and night:
 *   C · rise + UA · ∫(T_tub − T_air) = flow · drive − litres · standing + area · sun + other(hour),
 * robust against hours in which something went on that no sensor told of. Other heat is never negative,
 * and the hours of the clock that show little of it are held the more tightly to none.
 *
 * @returns null where the pump ran too little
 */
export function heatBalance(
  hours: readonly BalanceHour[],
  lossWPerK: number,
  settings: TubSettings,
): HeatBalance | null {
  const running = hours.filter(({ driveKwhMinPerL }) => driveKwhMinPerL > LEAST_DRIVE).length;
  if (running < LEAST_RUNNING_HOURS) return null;
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  const rows = hours.map((hour) => rowOf(hour, kwhPerK, lossWPerK));
  const pipe = returnPipeLitres(settings);
  const thoughts = [
    { mean: 0, uncertainty: Number.POSITIVE_INFINITY },
    SUN,
    { mean: pipe, uncertainty: STANDING_UNCERTAINTY * pipe + 0.1 },
    WARMER,
    ...Array.from({ length: HOURS }, () => ({ mean: 0, uncertainty: OTHER.first })),
  ];
  let variances = rows.map(() => (0.1 * kwhPerK) ** 2);
  let fit = solve(rows, variances, thoughts);
  for (let turn = 1; turn < TURNS; turn++) {
    for (let i = SHARED; i < SHARED + HOURS; i++) {
      const size =
        fit.values[i]! < 0 ? 0 : Math.hypot(fit.values[i]!, Math.sqrt(fit.inverse[i]![i]!));
      thoughts[i]!.uncertainty = Math.min(OTHER.most, Math.max(OTHER.least, size));
    }
    const away = rows.map((row) => Math.abs(row.y - predicted(row, fit.values)));
    variances = variancesOf(rows, away, fit.values[FLOW]!, LEAST_NOISE_K * kwhPerK);
    fit = solve(rows, variances, thoughts);
  }
  const { values, inverse } = fit;
  const [drive, standing] = [total(rows, FLOW), total(rows, STANDING)];
  const heat = drive * values[FLOW]! + standing * values[STANDING]!;
  const heatVariance =
    drive * drive * inverse[FLOW]![FLOW]! +
    2 * drive * standing * inverse[FLOW]![STANDING]! +
    standing * standing * inverse[STANDING]![STANDING]!;
  return {
    flowLPerMin: values[FLOW]!,
    scatterLPerMin: Math.sqrt(inverse[FLOW]![FLOW]!),
    standingLitres: values[STANDING]!,
    heatUncertainty: Math.hypot(
      Math.sqrt(heatVariance) / Math.abs(heat),
      disagreement(rows, values) / values[FLOW]!,
    ),
    sunM2: values[SUN_AREA]!,
    otherW: values.slice(SHARED).map((watts) => Math.max(0, watts)),
    hours: running,
  };
}

interface Row {
  x: number[]; // of the shared parameters, and the hour's length for its slot
  slot: number;
  y: number; // kWh
}

const rowOf = (hour: BalanceHour, kwhPerK: number, lossWPerK: number): Row => ({
  x: [
    hour.driveKwhMinPerL,
    hour.sunKwhPerM2,
    -hour.standingKwhPerL,
    (lossWPerK / 1000) * hour.dailyH,
    hour.hours / 1000,
  ],
  slot: SHARED + hour.hour,
  y: kwhPerK * hour.riseK + (lossWPerK / 1000) * hour.lossKh,
});

const total = (rows: readonly Row[], parameter: number): number =>
  sumOf(rows.map(({ x }) => x[parameter]!));

const predicted = ({ x, slot }: Row, values: readonly number[]): number =>
  x.reduce((sum, each, i) => sum + each * values[i < SHARED ? i : slot]!, 0);

/**
 * How far each hour may be off: what all scatter by, a part of the loop's own heat, and more where it
 * is further off than these.
 */
function variancesOf(
  rows: readonly Row[],
  away: readonly number[],
  flowLPerMin: number,
  least: number,
): number[] {
  const own = rows.map(({ x }) => OWN_SHARE * flowLPerMin * Math.abs(x[FLOW]!));
  const noise = Math.max(
    least,
    1.4826 * median(away.map((distance, i) => Math.max(0, distance - own[i]!))),
  );
  return rows.map((_, i) => {
    const usual = Math.hypot(noise, own[i]!);
    return usual ** 2 * Math.max(1, away[i]! / (2 * usual)) ** 2;
  });
}

/**
 * How far the flows of parts of the time lie about the flow of all, beyond what each of them is known to
 * [l/min]. Where the flow changed and nobody said so, the fewer hours pass for disturbed ones, and the
 * scatter of the others says nothing of them: so the hours of each part vote for themselves.
 */
function disagreement(rows: readonly Row[], values: readonly number[]): number {
  const running = rows.filter(({ x }) => x[FLOW]! > LEAST_DRIVE);
  const whole = total(running, FLOW);
  const parts = Array.from({ length: PARTS }, () => [] as Vote[]);
  let before = 0;
  for (const row of running) {
    const drive = row.x[FLOW]!;
    const off = (row.y - predicted(row, values)) / drive;
    parts[Math.min(PARTS - 1, Math.floor((PARTS * before) / whole))]!.push({ off, weight: drive });
    before += drive;
  }
  const squares = parts.filter((votes) => votes.length > 1).map(squareOff);
  return squares.length > 0 ? Math.sqrt(Math.max(0, sumOf(squares) / squares.length)) : 0;
}

/** An hour's own flow, as far as it lies off the flow of all [l/min]. */
interface Vote {
  off: number;
  weight: number;
}

/** The square of how far a part's middle hour lies off, less the variance of such a middle. */
function squareOff(votes: readonly Vote[]): number {
  const off = middleOf(votes);
  const apart =
    1.4826 * middleOf(votes.map((vote) => ({ ...vote, off: Math.abs(vote.off - off) })));
  const count =
    sumOf(votes.map(({ weight }) => weight)) ** 2 / sumOf(votes.map(({ weight }) => weight ** 2));
  return off ** 2 - ((Math.PI / 2) * apart ** 2) / count;
}

/** The one at which half of all weight lies below. */
function middleOf(votes: readonly Vote[]): number {
  const sorted = votes.toSorted((a, b) => a.off - b.off);
  let left = sumOf(sorted.map(({ weight }) => weight)) / 2;
  for (const { off, weight } of sorted) {
    left -= weight;
    if (left <= 0) return off;
  }
  return sorted.at(-1)!.off;
}

const sumOf = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** Least squares weighed by the rows' variances, with what is thought of the parameters. */
function solve(rows: readonly Row[], variances: readonly number[], thoughts: readonly Thought[]) {
  const n = thoughts.length;
  const matrix = thoughts.map(() => new Float64Array(n));
  const right = new Float64Array(n);
  thoughts.forEach(({ mean, uncertainty }, i) => {
    matrix[i]![i]! += uncertainty ** -2;
    right[i]! += mean * uncertainty ** -2;
  });
  rows.forEach(({ x, slot, y }, index) => {
    const weight = 1 / variances[index]!;
    for (let i = 0; i < x.length; i++) {
      const a = i < SHARED ? i : slot;
      const scaled = weight * x[i]!;
      right[a]! += scaled * y;
      for (let j = 0; j < x.length; j++) matrix[a]![j < SHARED ? j : slot]! += scaled * x[j]!;
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
