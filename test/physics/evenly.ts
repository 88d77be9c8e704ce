import fc from 'fast-check';

const PARTS = 10_000; // few enough that a failing value is soon shrunk to a telling one

/**
 * Numbers spread evenly over a range, both ends included. `fc.double` spreads them over the numbers
 * that a computer can hold, of which half are smaller than 1e-150, and prefers the ends.
 */
export const evenly = (min: number, max: number): fc.Arbitrary<number> =>
  fc.noBias(fc.integer({ min: 0, max: PARTS })).map((part) => min + ((max - min) * part) / PARTS);
