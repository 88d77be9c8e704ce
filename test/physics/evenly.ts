import fc from 'fast-check';

/**
 * Numbers spread evenly over a range. `fc.double` spreads them over the numbers that a computer can
 * hold, of which half are smaller than 1e-150, and prefers the ends.
 */
export const evenly = (min: number, max: number): fc.Arbitrary<number> =>
  fc
    .noBias(fc.integer({ min: 0, max: 2 ** 30 }))
    .map((part) => min + ((max - min) * part) / 2 ** 30);
