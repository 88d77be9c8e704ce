import { Loop, stepMs } from '../../collector-service/demo/loop.ts';
import { demoTub } from '../../collector-service/demo/place.ts';
import { demoPoints } from '../../collector-service/demo/sensors.ts';
import type { Setup } from '../../model/setup.ts';

/** The simulated loop as a board of twelve sensors tells of it, every ten seconds. */

export const points: readonly string[] = [
  'tub/temperature',
  'tub/cover',
  'collector/temperature',
  'collector/inlet',
  'collector/outlet',
  'collector/irradiance',
  'pump/running',
  'pump/power',
  'pump/flow',
  'pump/volume',
  'backup/power',
  'outdoor/temperature',
];

export const tub = demoTub.id;
export const setup: Setup = { tubs: [demoTub] };

export const DAYS = 30;
export const start = Date.parse('2026-01-01T00:00:00Z');
export const steps = (DAYS * 86_400_000) / stepMs;

export interface Step {
  t: number;
  /** In the order of `points`. */
  values: number[];
}

const places = points.map((point) => demoPoints.indexOf(point));

/** Step after step without an end; the same from every call. */
export function* readings(): Generator<Step, never> {
  const loop = new Loop({ from: start });
  for (;;) {
    const read = loop.read();
    yield { t: loop.at, values: places.map((place) => read[place]!) };
    loop.step();
  }
}
