import { type Course, Walk } from './course.ts';
import type { Learned } from './learned.ts';
import { prepare } from './ledger.ts';
import { metered } from './metered-heat.ts';
import { observed, STRONG_SUN_W_PER_M2 } from './observed.ts';
import { HOUR, MINUTE, type Traces } from './readings.ts';
import { longestGapMs, type TubSettings } from './tub-settings.ts';

/** Heat going into the tub just now. */
export interface PresentPower {
  /** Negative where the loop carries heat out. */
  watts: number;
  basis: 'measured' | 'estimated';
}

/** The present is judged by the last minute that all inputs cover. */
const PRESENT_MS = MINUTE;

/**
 * Heat going into the tub just now, as the mean over the last minute up to the newest readings: by flow
 * and the pair of thermometers where they are heard, else by tub, collectors, pump and the flow in use;
 * null where neither tells, or the pump has been switched since.
 */
export function presentPower(
  settings: TubSettings,
  learned: Learned,
  traces: Traces,
  at: number,
): PresentPower | null {
  /** Up to when all of some points were heard; null where one of them is too old to tell of now. */
  const heardTo = (points: readonly string[]): number | null => {
    let to = at;
    for (const point of points) {
      const newest = traces.get(point)?.t.at(-1);
      if (newest === undefined || at - newest > longestGapMs(settings, point)) return null;
      to = Math.min(to, newest);
    }
    return to;
  };
  const inputs = prepare(traces, settings);
  const isSwitchedSince = (t: number) => isOn(inputs.pump, at) !== isOn(inputs.pump, t - 1);

  const pairTo = heardTo(['collector/inlet', 'collector/outlet']);
  if (pairTo !== null && !isSwitchedSince(pairTo)) {
    const { gainKwh, lostKwh, coveredMs } = metered(inputs, pairTo - PRESENT_MS, pairTo);
    if (gainKwh !== null && lostKwh !== null)
      return { watts: watts(gainKwh - lostKwh, coveredMs), basis: 'measured' };
  }
  const to = heardTo(['tub/temperature', 'collector/temperature']);
  if (to === null || isSwitchedSince(to)) return null;
  const { driveKwhMinPerL, driveMs } = observed(inputs, to - PRESENT_MS, to);
  if (driveKwhMinPerL === null) return null;
  const estimate = watts(learned.flowLPerMin.value * driveKwhMinPerL, driveMs);
  return estimate > mostW(settings) ? null : { watts: estimate, basis: 'estimated' };
}

/**
 * More than collectors give in the strongest sun, by half again since they may be larger than was said:
 * they are hot because the water in them stood, or stands.
 */
const mostW = ({ collectors: { count, areaM2, eta0 } }: TubSettings): number =>
  1.5 * STRONG_SUN_W_PER_M2 * count * areaM2 * eta0;

const watts = (kwh: number, ms: number): number => (kwh * HOUR * 1000) / ms;

function isOn(pump: Course, t: number): boolean | null {
  const i = new Walk(pump, t).at(t);
  return i < 0 ? null : pump.v0[i]! > 0;
}
