import { HOUR, MINUTE, type Trace } from './readings.ts';

/** The straight line that ln(tub − air) falls on while a tub cools by itself. */

/** Readings are averaged over bins so that a stretch read every second says no more than another. */
const BIN_MS = 5 * MINUTE;

/** Mean time and mean value of each bin of five minutes that holds a reading. */
export function averaged({ t, v }: Trace): Trace {
  const times: number[] = [];
  const values: number[] = [];
  for (let i = 0; i < t.length; ) {
    const end = t[0]! + (Math.floor((t[i]! - t[0]!) / BIN_MS) + 1) * BIN_MS;
    let [n, sumT, sumV] = [0, 0, 0];
    const first = t[i]!;
    for (; i < t.length && t[i]! < end; i++) {
      n++;
      sumT += t[i]! - first;
      sumV += v[i]!;
    }
    times.push(first + sumT / n);
    values.push(sumV / n);
  }
  return { t: Float64Array.from(times), v: Float64Array.from(values) };
}

/** Mean over time of values that run evenly from one to the next. */
export function meanOver(t: Float64Array, v: Float64Array): number {
  let area = 0;
  for (let i = 1; i < t.length; i++) area += ((v[i]! + v[i - 1]!) / 2) * (t[i]! - t[i - 1]!);
  return area / (t[t.length - 1]! - t[0]!);
}

export interface CoolingLine {
  perHour: number; // UA/C, 1/h
  perHourUncertainty: number;
  dropK: number; // along the line
  residualK: number; // rms about it
  largestJumpK: number; // between neighbours, and between bins 10 min apart
}

/**
 * Draws the line, each time with the air's departures from its mean allowed for by the slope found
 * before: what they did to the tub until then is taken off its temperature.
 *
 * @param bins  tub temperature, everywhere above airC
 * @param air  air temperature at the same times
 * @param airC  mean of the air
 */
export function coolingLine(bins: Trace, air: Float64Array, airC: number): CoolingLine {
  const n = bins.t.length;
  const hours = Float64Array.from(bins.t, (time) => (time - bins.t[0]!) / HOUR);
  const above = new Float64Array(n); // tub above the mean air, without what the air's moves did
  let perHour = 0;
  let start = 0;
  let spread = 0;
  for (let turn = 0; turn < 6; turn++) {
    let moved = 0; // what departures of the air have done to the tub so far [K]
    for (let i = 0; i < n; i++) {
      if (i > 0) {
        const kept = Math.exp(-perHour * (hours[i]! - hours[i - 1]!));
        moved = moved * kept + ((air[i]! + air[i - 1]!) / 2 - airC) * (1 - kept);
      }
      above[i] = bins.v[i]! - airC - moved;
    }
    [perHour, start, spread] = weightedLine(hours, above);
  }
  const at = (i: number): number => Math.exp(start - perHour * hours[i]!);
  const residuals = Float64Array.from(above, (value, i) => value - at(i));
  const squares = residuals.reduce((sum, e) => sum + e * e, 0);
  return {
    perHour,
    perHourUncertainty: Math.sqrt((squares / (n - 2)) * (inflation(residuals) / spread)),
    dropK: bins.v[0]! - residuals[0]! - (bins.v[n - 1]! - residuals[n - 1]!),
    residualK: Math.sqrt(squares / n),
    largestJumpK: largestJump(bins.t, residuals),
  };
}

/**
 * Line through ln(above): [fall per hour, ln at 0, weighted spread of the hours]. The weight is
 * above²: a kelvin of noise moves a logarithm the more the smaller the difference is.
 */
function weightedLine(hours: Float64Array, above: Float64Array): [number, number, number] {
  let [weight, sumX, sumY] = [0, 0, 0];
  for (let i = 0; i < hours.length; i++) {
    const w = above[i]! * above[i]!;
    weight += w;
    sumX += w * hours[i]!;
    sumY += w * Math.log(above[i]!);
  }
  const [x, y] = [sumX / weight, sumY / weight];
  let [spread, product] = [0, 0];
  for (let i = 0; i < hours.length; i++) {
    const w = above[i]! * above[i]!;
    spread += w * (hours[i]! - x) ** 2;
    product += w * (hours[i]! - x) * (Math.log(above[i]!) - y);
  }
  const slope = product / spread;
  return [-slope, y - slope * x, spread];
}

/** Neighbouring residuals that agree count as fewer: (1 + ρ)/(1 − ρ), ρ their correlation. */
function inflation(residuals: Float64Array): number {
  let [squares, products] = [0, 0];
  for (let i = 0; i < residuals.length; i++) {
    squares += residuals[i]! ** 2;
    if (i > 0) products += residuals[i]! * residuals[i - 1]!;
  }
  const correlation = squares > 0 ? Math.min(0.9, Math.max(0, products / squares)) : 0;
  return (1 + correlation) / (1 - correlation);
}

/** Largest change of the residuals between neighbouring bins, and between those 10 min apart. */
function largestJump(t: Float64Array, residuals: Float64Array): number {
  let largest = 0;
  for (let i = 1; i < residuals.length; i++) {
    largest = Math.max(largest, Math.abs(residuals[i]! - residuals[i - 1]!));
    if (i > 1 && t[i]! - t[i - 2]! <= 3 * BIN_MS) {
      largest = Math.max(largest, Math.abs(residuals[i]! - residuals[i - 2]!));
    }
  }
  return largest;
}
