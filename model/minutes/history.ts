/** What is kept of the last half day, a value a minute. */
export const remembered = [
  'tubC',
  'collectorC',
  'inletC',
  'outletC',
  'airC',
  'lPerMin',
  'pumpW',
  'backupW',
  'sunWPerM2',
  'volumeL',
  'backupKwh',
] as const;

export type Remembered = (typeof remembered)[number];

export const REMEMBERED_MIN = 720;

/** The last half day of some values, minute by minute; NaN where one was not known. Plain data. */
export interface History {
  rings: Record<Remembered, Float64Array>;
  /** Minutes written so far; the newest stands at (count − 1) % REMEMBERED_MIN. */
  count: number;
}

export function newHistory(): History {
  const ring = () => new Float64Array(REMEMBERED_MIN).fill(Number.NaN);
  const rings = Object.fromEntries(remembered.map((name) => [name, ring()]));
  return { rings: rings as History['rings'], count: 0 };
}

export function write(history: History, values: Record<Remembered, number | null>): void {
  const at = history.count++ % REMEMBERED_MIN;
  for (const name of remembered) history.rings[name][at] = values[name] ?? Number.NaN;
}

/** The value of some minutes ago, 0 being the present one; null where it was not known. */
export function ago(history: History, name: Remembered, minutes: number): number | null {
  if (minutes >= REMEMBERED_MIN || minutes >= history.count) return null;
  const value = history.rings[name][(history.count - 1 - minutes) % REMEMBERED_MIN]!;
  return Number.isNaN(value) ? null : value;
}

/** Lowest, mean and highest of the last minutes; null where less than two thirds of them are known. */
export function over(
  history: History,
  name: Remembered,
  minutes: number,
): { low: number; mean: number; high: number } | null {
  let [low, sum, high, known] = [Number.POSITIVE_INFINITY, 0, Number.NEGATIVE_INFINITY, 0];
  for (let i = 0; i < minutes; i++) {
    const value = ago(history, name, i);
    if (value === null) continue;
    known++;
    sum += value;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return known * 3 < minutes * 2 ? null : { low, mean: sum / known, high };
}

/**
 * Slope of a straight line through the last minutes [per hour]; null where less than two thirds of
 * them are known.
 */
export function slopePerH(history: History, name: Remembered, minutes: number): number | null {
  let [n, sumT, sumV, sumTt, sumTv] = [0, 0, 0, 0, 0];
  for (let i = 0; i < minutes; i++) {
    const value = ago(history, name, i);
    if (value === null) continue;
    const hours = -i / 60;
    n++;
    sumT += hours;
    sumV += value;
    sumTt += hours * hours;
    sumTv += hours * value;
  }
  const spread = n * sumTt - sumT * sumT;
  return n * 3 < minutes * 2 || spread === 0 ? null : (n * sumTv - sumT * sumV) / spread;
}
