import { pointType } from './points.ts';
import type { Trace } from './readings.ts';
import { longestGapMs, type TubSettings } from './tub-settings.ts';

/** What a digital sensor's driver answers when its chip did not: no answer, not enough supply. */
const driverErrors = [-127, 127.94];
/** What a digital temperature sensor holds after it was switched on, before its first conversion. */
const POWER_ON_C = 85;
const POWER_ON_JUMP_K = 5;

/**
 * The readings of a point that calculations may use, with the owner's correction applied.
 *
 * Left out: values outside what the point can reach, a driver's error codes, and exactly 85.0 °C
 * where it is no part of a smooth course: more than 5 K from the last reading of another value, or
 * with none within the point's longest gap. What is kept in the store is never touched.
 */
export function usable(trace: Trace, point: string, settings: TubSettings): Trace {
  const type = pointType(point);
  if (!type) return trace;
  const temperature = type.kind === 'temperature';
  const gapMs = longestGapMs(settings, point);
  const { factor = 1, offset = 0 } = settings.corrections[point] ?? {};
  const t = new Float64Array(trace.t.length);
  const v = new Float64Array(trace.t.length);
  let kept = 0;
  let lastC: number | null = null; // newest raw value that is neither impossible nor 85.0
  let lastAt = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < trace.t.length; i++) {
    const value = trace.v[i]!;
    const at = trace.t[i]!;
    if (value < type.low || value > type.high) continue;
    if (temperature) {
      if (driverErrors.includes(value)) continue;
      if (value === POWER_ON_C) {
        const smooth =
          lastC !== null && at - lastAt <= gapMs && Math.abs(value - lastC) <= POWER_ON_JUMP_K;
        if (!smooth) continue;
      } else {
        lastC = value;
        lastAt = at;
      }
    }
    t[kept] = at;
    v[kept] = value * factor + offset;
    kept++;
  }
  return { t: t.subarray(0, kept), v: v.subarray(0, kept) };
}
