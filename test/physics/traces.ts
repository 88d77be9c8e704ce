import type { Trace, Traces } from '../../model/readings.ts';
import type { TubSetup } from '../../model/setup.ts';
import { type SettingsVersion, tubSettings } from '../../model/tub-settings.ts';

/** Traces as tests write them: for each point rows of [seconds after `start`, value]. */
export function tracesOf(start: number, points: Record<string, [number, number][]>): Traces {
  return new Map(
    Object.entries(points).map(([point, rows]): [string, Trace] => [
      point,
      {
        t: Float64Array.from(rows, ([s]) => start + s * 1000),
        v: Float64Array.from(rows, ([, value]) => value),
      },
    ]),
  );
}

/** Rows every `everyS` from one second to another, both included, of a value that may depend on it. */
export function rows(
  fromS: number,
  toS: number,
  everyS: number,
  value: number | ((s: number) => number),
): [number, number][] {
  const made: [number, number][] = [];
  for (let s = fromS; s <= toS; s += everyS) {
    made.push([s, typeof value === 'number' ? value : value(s)]);
  }
  return made;
}

export const place = { latitude: -41.27, longitude: 173.28, elevationM: 40, timeZone: 'UTC' };

/** One set-up that holds for always. */
export const always = (said: Partial<TubSetup> = {}): SettingsVersion[] => [
  { from: Number.NEGATIVE_INFINITY, settings: tubSettings({ id: 'tub', place, ...said }) },
];
