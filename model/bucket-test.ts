import { flowOf } from './measured-flow.ts';

export interface Fill {
  litres: number;
  seconds: number;
}

export interface BucketResult {
  lPerMin: number;
  /** Standard uncertainty. */
  uncertaintyLPerMin: number;
  /** Of the single fills [l/min]. */
  lowest: number;
  highest: number;
  /** The fills differ by more than watch and bucket explain: one of them is to be done again. */
  differ: boolean;
}

/** A second of each hand on a watch, and a finger's breadth of the bucket, are about as much as this. */
const MOST_SPREAD = 0.1;

/** What some fills of a bucket tell of the flow; null where there is none, or one that cannot be. */
export function bucketResult(fills: readonly Fill[]): BucketResult | null {
  const flow = flowOf({ fills: [...fills] });
  if (fills.length === 0 || flow === null) return null;
  const flows = fills.map(({ litres, seconds }) => (60 * litres) / seconds);
  const [lowest, highest] = [Math.min(...flows), Math.max(...flows)];
  return { ...flow, lowest, highest, differ: highest - lowest > MOST_SPREAD * flow.lPerMin };
}
