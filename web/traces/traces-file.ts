import { csvLine } from '../../model/csv.ts';
import type { Trace } from './trace.ts';

/** Readings as CSV, as `replay` takes them, or what stands for them in longer spans; in the units of the service. */

export interface ToldReading {
  point: string;
  time: string;
  value: number;
}

export const readingsHead = csvLine(['time', 'tub', 'point', 'value']);

export const readingsLines = (tub: string, items: readonly ToldReading[]): string =>
  items.map(({ time, point, value }) => csvLine([time, tub, point, value])).join('');

/** A line for each bucket that was heard, in order of time and of the points. */
export function bucketsFile(tub: string, traces: readonly Trace[]): string {
  const rows = traces
    .flatMap((trace) => trace.buckets.map((bucket) => ({ ...bucket, point: trace.point })))
    .sort((a, b) => a.from - b.from);
  const head = ['from', 'tub', 'point', 'lowest', 'mean', 'highest', 'readings'];
  const lines = rows.map(({ from, point, min, mean, max, count }) => [
    new Date(from).toISOString(),
    tub,
    point,
    min,
    mean,
    max,
    count,
  ]);
  return [head, ...lines].map(csvLine).join('');
}
