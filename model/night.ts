import type { Span } from './civil-time.ts';
import { QUARTER } from './readings.ts';
import { HORIZON_DEG, sunPosition } from './sun.ts';

/**
 * The parts of a span in which the sun is below the horizon: none in a polar summer, all of it in a
 * polar winter. Good to a few seconds; hills are not known.
 */
export function nightsWithin(
  from: number,
  to: number,
  latitude: number,
  longitude: number,
): Span[] {
  const above = (t: number) => sunPosition(t, latitude, longitude).elevationDeg - HORIZON_DEG;
  const nights: Span[] = [];
  let yb = above(from);
  let start: number | null = yb < 0 ? from : null;
  for (let a = from; a < to; a += QUARTER) {
    const b = Math.min(a + QUARTER, to);
    const ya = yb;
    yb = above(b);
    if (ya < 0 === yb < 0) continue;
    const crossing = Math.round(a + ((b - a) * ya) / (ya - yb));
    if (yb < 0) start = crossing;
    else if (start !== null) {
      nights.push({ from: start, to: crossing });
      start = null;
    }
  }
  if (start !== null) nights.push({ from: start, to });
  return nights;
}
