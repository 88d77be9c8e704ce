import type { Arrivals } from '../../collector-service/store/store.ts';
import type { Reading } from '../../model/readings.ts';

const T0 = Date.parse('2026-03-01T02:00:00Z');
const points = ['tub/temperature', 'collector/temperature', 'pump/running'];

/**
 * Batch number n of a tub, always the same: new readings, some that repeat those of the batch before
 * with greater or smaller values, some that are days late, and something that could not be read.
 */
export function batch(tub: string, n: number): Arrivals {
  const readings: Reading[] = [];
  for (let i = 0; i < 40; i++) {
    const point = points[i % points.length]!;
    readings.push({ tub, point, t: T0 + (n * 40 + i) * 2500, value: ((n * 40 + i) * 7919) % 100 });
  }
  for (let i = 0; i < 10; i++) {
    const point = points[i % points.length]!;
    const value = (((n + 1) * 40 + i) * 104_729) % 100;
    readings.push({ tub, point, t: T0 + ((n - 1) * 40 + i) * 2500, value });
    readings.push({ tub, point, t: T0 - ((n * 10 + i) % 5000) * 86_400, value });
  }
  const unreadable = [{ topic: `shed/${tub}`, payload: `${n}`, why: 'no number' }];
  return { readings, unreadable, at: T0 + n };
}

/** What a store must hold after these batches, whatever their order: the greatest value of each time. */
export function expectedOf(tub: string, numbers: Iterable<number>): Map<string, number> {
  const expected = new Map<string, number>();
  for (const n of numbers) {
    for (const { point, t, value } of batch(tub, n).readings) {
      const key = `${tub} ${point} ${t}`;
      expected.set(key, Math.max(expected.get(key) ?? -Infinity, value));
    }
  }
  return expected;
}
