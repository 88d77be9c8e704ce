import type { LocalClock } from '../today/clock-hours.ts';

/** Times as a form has them, `2026-03-01T14:30`, by the clock and the calendar of where the tub stands. */

export interface Place extends LocalClock {
  dateOf(instant: number): string;
}

const two = (part: number) => String(part).padStart(2, '0');

export const wallOf = (instant: number, place: Place): string =>
  `${place.dateOf(instant)}T${two(place.hour(instant))}:${two(place.minute(instant))}`;

/**
 * When clocks there show that [ms since 1970-01-01 UTC]: where they show it twice one of both, where
 * they skip it a time beside the gap; null for what is no date and time.
 */
export function instantOf(wall: string, place: Place): number | null {
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?$/.test(wall)) return null;
  const wanted = Date.parse(`${wall.slice(0, 16)}Z`);
  if (Number.isNaN(wanted)) return null;
  const ahead = (instant: number) => Date.parse(`${wallOf(instant, place)}Z`) - minuteOf(instant);
  const guess = wanted - ahead(wanted);
  // The guess may lie on the other side of a change of clocks.
  return wanted - ahead(guess);
}

const minuteOf = (instant: number) => Math.floor(instant / 60_000) * 60_000;
