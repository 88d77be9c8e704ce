/** Mean of the middle half of some values, of which there must be one: finer than a coarse sensor's steps. */
export function meanOfMiddle(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const skipped = Math.floor(sorted.length / 4);
  const middle = sorted.slice(skipped, sorted.length - skipped);
  return middle.reduce((sum, value) => sum + value, 0) / middle.length;
}
