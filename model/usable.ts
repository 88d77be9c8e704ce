import { type PointType, pointType } from './points.ts';
import type { Trace } from './readings.ts';
import { longestGapMs, type TubSettings } from './tub-settings.ts';

/** What a digital sensor's driver answers when its chip did not, and when it had too little supply. */
const NO_ANSWER_C = -127;
const TOO_LITTLE_SUPPLY_C = 127.94;
/** What a digital temperature sensor holds after it was switched on, before its first conversion. */
const POWER_ON_C = 85;
const POWER_ON_JUMP_K = 5;

/**
 * Why a value cannot be: as from an open wire (below what the point can reach, or no answer), or as
 * from a short one (above it, or too little supply); null where it can.
 */
export function impossible(value: number, { kind, low, high }: PointType): 'open' | 'short' | null {
  const isTemperature = kind === 'temperature';
  if (value < low || (isTemperature && value === NO_ANSWER_C)) return 'open';
  if (value > high || (isTemperature && value === TOO_LITTLE_SUPPLY_C)) return 'short';
  return null;
}

/**
 * Whether exactly 85.0 °C is no part of a smooth course: more than 5 K from the last value of another
 * kind (`lastC`, null where there is none), or with none for longer than `withinMs`.
 */
export function isPowerOn(
  value: number,
  { kind }: PointType,
  lastC: number | null,
  ageMs: number,
  withinMs = Number.POSITIVE_INFINITY,
): boolean {
  if (kind !== 'temperature' || value !== POWER_ON_C) return false;
  return lastC === null || ageMs > withinMs || Math.abs(value - lastC) > POWER_ON_JUMP_K;
}

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
    if (impossible(value, type) || isPowerOn(value, type, lastC, at - lastAt, gapMs)) continue;
    if (value !== POWER_ON_C) {
      lastC = value;
      lastAt = at;
    }
    t[kept] = at;
    v[kept] = value * factor + offset;
    kept++;
  }
  return { t: t.subarray(0, kept), v: v.subarray(0, kept) };
}
