import { setImmediate as pause } from 'node:timers/promises';
import { HOUR, MINUTE, type Reading } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import { localTime } from './household.ts';
import type { Loop } from './loop.ts';
import { demoTub } from './place.ts';
import { demoPoints } from './sensors.ts';

/** What the demonstration's sensors said before the service was first started. */

export const historyDays = 60;

/** Where a first start of the demonstration begins its history [ms since 1970-01-01 UTC]. */
export const historyStart = (clock: Clock): number => clock.now() - historyDays * 24 * HOUR;

/** Rows of at most an hour, a minute apart. */
export interface RecordedHour {
  /** Of the first row [ms since 1970-01-01 UTC]; whole minutes. */
  from: number;
  /** Row after row, each with the values of `demoPoints` in their order. */
  values: Float64Array;
}

/**
 * Runs the loop from where it stands to an instant, letting other work through after each hour of it
 * (about a millisecond): a later start comes so from the first one's `from` to what is stored already.
 */
export async function catchUp(loop: Loop, t: number): Promise<void> {
  while (loop.at < t) {
    const before = loop.at;
    loop.advanceTo(Math.min(t, before + HOUR));
    if (loop.at === before) return;
    await pause();
  }
}

/**
 * Runs the loop from where it stands to the present, and keeps a row at every full minute after that.
 * Afterwards the loop stands at the last row, and its live run joins there without a step.
 */
export async function recordHistory(loop: Loop, clock: Clock): Promise<RecordedHour[]> {
  const hours: RecordedHour[] = [];
  const to = clock.now();
  let t = (Math.floor(loop.at / MINUTE) + 1) * MINUTE;
  while (t <= to) {
    const from = t;
    const nextHour = (Math.floor(t / HOUR) + 1) * HOUR;
    const rows = Math.min((nextHour - t) / MINUTE, Math.floor((to - t) / MINUTE) + 1);
    const values = new Float64Array(rows * demoPoints.length);
    for (let row = 0; row < rows; row++, t += MINUTE) {
      loop.advanceTo(t);
      values.set(loop.read(), row * demoPoints.length);
    }
    hours.push({ from, values });
    await pause();
  }
  return hours;
}

/** Recorded readings in slices of an hour: today's first, then day by day back, each from its start. */
export async function* newestFirst(hours: readonly RecordedHour[]): AsyncGenerator<Reading[]> {
  for (const day of localDays(hours).reverse()) {
    for (const hour of day) {
      yield readingsOf(hour);
      await pause();
    }
  }
}

function localDays(hours: readonly RecordedHour[]): RecordedHour[][] {
  const days = new Map<number, RecordedHour[]>();
  for (const hour of hours) {
    const { day } = localTime(hour.from);
    const others = days.get(day);
    if (others) others.push(hour);
    else days.set(day, [hour]);
  }
  return [...days.values()];
}

function readingsOf({ from, values }: RecordedHour): Reading[] {
  return Array.from(values, (value, i) => ({
    tub: demoTub.id,
    point: demoPoints[i % demoPoints.length]!,
    t: from + Math.floor(i / demoPoints.length) * MINUTE,
    value,
  }));
}
