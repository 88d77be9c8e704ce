import { addDays, dayBounds, localDate, minuteOfDay, type Span, weekday } from './civil-time.ts';
import { MINUTE, QUARTER } from './readings.ts';
import type { TubSetup } from './setup.ts';

/**
 * Prices by the clock on the wall. Every elapsed moment has the price of what the clock shows then:
 * where clocks go back a night hour is paid for twice, where they go forward one is not paid for.
 *
 * A band belongs to the day on which it begins: Friday 23:00 to 07:00 holds into Saturday. One whose
 * end is its beginning lasts 24 hours. The first band that fits counts.
 */

export type Tariff = NonNullable<TubSetup['tariff']>;

/** A span of the week: ISO days 1 (Monday) to 7, `HH:MM`; the end may be 24:00. */
export interface ClockWindow {
  days: readonly number[];
  from: string;
  to: string;
}

/** A span of time with one price, in the tariff's currency per kWh. */
export interface PriceSpan extends Span {
  price: number;
}

const DAY_MINUTES = 1440;

/** `HH:MM` in minutes since 00:00. */
const minutesOf = (time: string): number => 60 * Number(time.slice(0, 2)) + Number(time.slice(3));

function holds(window: ClockWindow, day: number, minute: number): boolean {
  const from = minutesOf(window.from);
  const to = minutesOf(window.to);
  if (from < to) return window.days.includes(day) && from <= minute && minute < to;
  const dayBefore = day === 1 ? 7 : day - 1;
  return minute >= from
    ? window.days.includes(day)
    : minute < to && window.days.includes(dayBefore);
}

const priceOf = (tariff: Tariff, day: number, minute: number): number =>
  tariff.bands?.find((band) => holds(band, day, minute))?.price ?? tariff.otherwise;

/** The price at an instant; to price a stretch, `priceSpans` is far quicker. */
export const priceAt = (t: number, tariff: Tariff, timeZone: string): number =>
  priceOf(tariff, weekday(t, timeZone), minuteOfDay(t, timeZone));

/**
 * The spans of one price within a stretch of time, in order, without gap or overlap; neighbours
 * differ in price.
 */
export function* priceSpans(
  from: number,
  to: number,
  tariff: Tariff,
  timeZone: string,
): Generator<PriceSpan> {
  const prices = weekOf(tariff.bands ?? [], (day, minute) => priceOf(tariff, day, minute));
  for (const { value, ...span } of clockSpans(from, to, prices, timeZone)) {
    yield { ...span, price: value };
  }
}

/** Mean price of a stretch of time, as a steady load pays it; the price itself where it is empty. */
export function meanPrice(from: number, to: number, tariff: Tariff, timeZone: string): number {
  if (!(to > from)) return priceAt(from, tariff, timeZone);
  let sum = 0;
  for (const span of priceSpans(from, to, tariff, timeZone)) {
    sum += span.price * (span.to - span.from);
  }
  return sum / (to - from);
}

/** Hours in which the backup may run; null: always. */
export type BackupHours = readonly ClockWindow[] | null;

/** Whether the backup may run at an instant. */
export function mayRun(t: number, hours: BackupHours, timeZone: string): boolean {
  if (hours === null) return true;
  const [day, minute] = [weekday(t, timeZone), minuteOfDay(t, timeZone)];
  return hours.some((window) => holds(window, day, minute));
}

/** From which minute of a day on a value holds. */
interface Step<T> {
  minute: number;
  value: T;
}

/** A value's steps through each day of the week, Monday first. */
function weekOf<T>(
  windows: readonly ClockWindow[],
  valueAt: (day: number, minute: number) => T,
): Step<T>[][] {
  const edges = new Set([
    0,
    ...windows.flatMap(({ from, to }) => [minutesOf(from), minutesOf(to)]),
  ]);
  edges.delete(DAY_MINUTES);
  const minutes = [...edges].sort((a, b) => a - b);
  return [1, 2, 3, 4, 5, 6, 7].map((day) => {
    const steps: Step<T>[] = [];
    for (const minute of minutes) {
      const value = valueAt(day, minute);
      if (steps.at(-1)?.value !== value) steps.push({ minute, value });
    }
    return steps;
  });
}

function* clockSpans<T>(
  from: number,
  to: number,
  week: Step<T>[][],
  timeZone: string,
): Generator<Span & { value: T }> {
  let open: (Span & { value: T }) | null = null;
  for (const run of evenRuns(from, to, timeZone)) {
    const steps = week[run.day - 1]!;
    for (const [i, { minute, value }] of steps.entries()) {
      const start = Math.max(from, run.from, run.midnight + minute * MINUTE);
      const next = steps[i + 1]?.minute ?? DAY_MINUTES;
      const end = Math.min(to, run.to, run.midnight + next * MINUTE);
      if (start >= end) continue;
      if (open && open.value === value) open.to = end;
      else {
        if (open) yield open;
        open = { from: start, to: end, value };
      }
    }
  }
  if (open) yield open;
}

/** Part of a local day in which the clock runs evenly; `midnight` is when it would have shown 00:00. */
interface EvenRun extends Span {
  day: number; // ISO day of the week
  midnight: number;
}

function* evenRuns(from: number, to: number, timeZone: string): Generator<EvenRun> {
  if (!(to > from)) return;
  for (let date = localDate(from, timeZone); ; date = addDays(date, 1)) {
    const bounds = dayBounds(date, timeZone);
    if (bounds.from >= to) return;
    if (bounds.from >= bounds.to) continue; // a date that the place skipped
    const day = weekday(bounds.from, timeZone);
    const midnight = midnightOf(bounds.from, timeZone);
    if (midnightOf(bounds.to - MINUTE, timeZone) === midnight) yield { ...bounds, day, midnight };
    else yield* partsOf(bounds, day, timeZone);
  }
}

/** When the clock would have shown 00:00, had it always run as it does at `t` (a whole minute). */
const midnightOf = (t: number, timeZone: string): number => t - minuteOfDay(t, timeZone) * MINUTE;

/** Cuts a day where its clock is moved, which is everywhere done on a quarter of an hour. */
function* partsOf(bounds: Span, day: number, timeZone: string): Generator<EvenRun> {
  let { from } = bounds;
  let midnight = midnightOf(from, timeZone);
  for (let t = from + QUARTER; t < bounds.to; t += QUARTER) {
    const now = midnightOf(t, timeZone);
    if (now === midnight) continue;
    yield { from, to: t, day, midnight };
    from = t;
    midnight = now;
  }
  yield { from, to: bounds.to, day, midnight };
}

/** What the sun's heat spared, after the pump's own electricity. */
export interface Displaced {
  kwh: number; // in the backup's fuel
  money: number;
  co2Kg: number;
}

/**
 * Fuel, money and CO₂ that the backup would have taken to give the same heat.
 *
 * @param usefulKwh  heat that the backup did not have to give; negative on a bad day
 * @param efficiency  heat per kWh of fuel: 1 for an immersion heater, 3 for a heat pump, 0.8 for gas
 * @param pumpKwh  electricity of pump and controller
 * @param electric  whether the fuel is electricity; if not the pump comes off money and CO₂ alone
 * @returns negative where the pump took more than it spared
 *
 * Source: arithmetic. Checked by: test/physics/tariff.test.ts.
 */
export function displaced(
  usefulKwh: number,
  efficiency: number,
  pumpKwh: number,
  pricePerKwh: number,
  co2KgPerKwh: number,
  electric = true,
): Displaced {
  const fuelKwh = usefulKwh / efficiency;
  const netKwh = fuelKwh - pumpKwh;
  return {
    kwh: electric ? netKwh : fuelKwh,
    money: netKwh * pricePerKwh,
    co2Kg: netKwh * co2KgPerKwh,
  };
}
