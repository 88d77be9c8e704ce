import { Loop, type LoopStart } from '../../../collector-service/demo/loop.ts';
import { demoPoints } from '../../../collector-service/demo/sensors.ts';

export const MINUTE = 60_000;
export const HOUR = 3_600_000;
export const DAY = 86_400_000;

/** Local midnight at the demonstration's place, before clocks go forward. */
export const spring = Date.UTC(2026, 8, 25, 12);

const places = new Map(demoPoints.map((point, i) => [point, i]));

/** Runs a loop and lets one ask, at every `everyMs`, what its sensors say of a point. */
export function run(
  start: LoopStart,
  ms: number,
  everyMs: number,
  hear: (at: number, of: (point: string) => number, loop: Loop) => void,
): Loop {
  const loop = new Loop(start);
  let values = loop.read();
  const of = (point: string) => values[places.get(point)!]!;
  for (let t = start.from; t <= start.from + ms; t += everyMs) {
    loop.advanceTo(t);
    values = loop.read();
    hear(loop.at, of, loop);
  }
  return loop;
}

export function valuesOf(loop: Loop): Record<string, number> {
  const values = loop.read();
  return Object.fromEntries(demoPoints.map((point, i) => [point, values[i]!]));
}
