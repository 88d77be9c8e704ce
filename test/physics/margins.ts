import { type Tolerance, tolerances } from './tolerances.ts';

/** A value of ours beside the one that it should have. */
export type Sample = readonly [ours: number | null | undefined, expected: number];

/**
 * Holds samples of one quantity to its tolerance, and prints how far off they are, so that a slow
 * loss of accuracy shows while everything is still within its limit.
 *
 * @param count  how many samples there are: one that was dropped on the way is a failure
 */
export function hold(quantity: string, count: number, samples: readonly Sample[]): void {
  const tolerance = tolerances[quantity];
  if (!tolerance) throw new Error(`tolerances.ts has no "${quantity}"`);
  if (samples.length !== count) {
    throw new Error(`${quantity}: ${samples.length} samples where there should be ${count}`);
  }
  const errors = samples.map((sample, index) => errorOf(tolerance, sample, `${quantity} ${index}`));
  const sizes = errors.map(Math.abs);
  const largest = Math.max(...sizes);
  const rms = Math.sqrt(sizes.reduce((sum, size) => sum + size * size, 0) / count);
  const { limit, unit } = tolerance;
  console.info(
    `${quantity}: n ${count}, rms ${rms.toPrecision(2)}, largest ${largest.toPrecision(2)}, limit ${limit} ${unit}`,
  );
  if (largest > limit) {
    const [ours, expected] = samples[sizes.indexOf(largest)]!;
    throw new Error(
      `${quantity} ${sizes.indexOf(largest)}: ${ours} should be ${expected} within ${limit} ${unit}`,
    );
  }
}

function errorOf({ unit, wraps }: Tolerance, [ours, expected]: Sample, name: string): number {
  if (typeof ours !== 'number' || !Number.isFinite(ours) || !Number.isFinite(expected)) {
    throw new Error(`${name}: ${ours} against ${expected} is no number to compare`);
  }
  if (unit === 'relative') return expected === 0 ? ours : ours / expected - 1;
  const difference = ours - expected;
  return wraps ? difference - wraps * Math.round(difference / wraps) : difference;
}
