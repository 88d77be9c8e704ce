import fc from 'fast-check';

/** Longest that one property is tried for [ms]. */
const TIME_BOX = 8_000;

/** A seed for random cases, printed; SEED=… tries the same cases again. */
export function printedSeed(name: string): number {
  const seed = Number(process.env.SEED ?? Math.trunc(Math.random() * 2 ** 31));
  console.info(`${name}: seed ${seed}`);
  return seed;
}

/** Tries a property on many random cases, for a bounded time. */
export function always<T extends [unknown, ...unknown[]]>(
  name: string,
  property: fc.IProperty<T>,
  runs = 2_000,
): void {
  const seed = printedSeed(name);
  fc.assert(property, { seed, numRuns: runs, interruptAfterTimeLimit: TIME_BOX });
}

/** The same for a property that has to be waited for. */
export async function alwaysAfter<T extends [unknown, ...unknown[]]>(
  name: string,
  property: fc.IAsyncProperty<T>,
  runs: number,
): Promise<void> {
  const seed = printedSeed(name);
  await fc.assert(property, { seed, numRuns: runs, interruptAfterTimeLimit: TIME_BOX });
}
