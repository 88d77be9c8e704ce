import type { Month } from '../../model/shapes.ts';

/** Months as bars: everything in shares of the picture, so that it is drawn at any size. */

export type Kind = 'saved' | 'heat';

export interface Bar {
  month: string;
  /** null: not known. */
  kwh: number | null;
  lowKwh: number | null;
  highKwh: number | null;
  underWay: boolean;
  /** Of the bar's middle and its breadth, from the left. */
  x: number;
  width: number;
  /** Of the bar's upper end and its height, from the top. */
  top: number;
  height: number;
  /** Of the ends of the doubt; null where it is not known. */
  high: number | null;
  low: number | null;
}

export interface Bars {
  kind: Kind;
  bars: Bar[];
  /** Where nothing saved stands. */
  zero: number;
  /** A round figure to read heights by. */
  mark: { kwh: number; y: number } | null;
}

/** Room above the highest for its figure. */
const HEADROOM = 1.18;
/** A bar takes so much of its column. */
const BREADTH = 0.66;

/** What was saved where that is known of any month, else the heat. */
export const kindOf = (months: readonly (Month | null)[]): Kind =>
  months.some((month) => (month?.savedKwh ?? null) !== null) ? 'saved' : 'heat';

export function figuresOf(month: Month | null, kind: Kind) {
  const kwh = (kind === 'saved' ? month?.savedKwh : month?.gainKwh) ?? null;
  const doubt = (kind === 'saved' ? month?.savedUncertaintyKwh : month?.uncertaintyKwh) ?? null;
  if (kwh === null || doubt === null) return { kwh, lowKwh: null, highKwh: null };
  const lowKwh = kwh - 2 * doubt;
  return { kwh, lowKwh: kind === 'heat' ? Math.max(0, lowKwh) : lowKwh, highKwh: kwh + 2 * doubt };
}

/** null where no month is known. */
export function barsOf(
  months: readonly { name: string; month: Month | null }[],
  thisMonth: string,
): Bars | null {
  const kind = kindOf(months.map(({ month }) => month));
  const figures = months.map(({ month }) => figuresOf(month, kind));
  const ends = figures.flatMap(({ kwh, lowKwh, highKwh }) => [kwh ?? 0, lowKwh ?? 0, highKwh ?? 0]);
  if (figures.every(({ kwh }) => kwh === null)) return null;
  const highest = Math.max(...ends, 1) * HEADROOM;
  const lowest = Math.min(...ends, 0) * HEADROOM;
  const y = (kwh: number) => (highest - kwh) / (highest - lowest);
  const column = 1 / months.length;
  const bars = months.map(({ name }, n): Bar => {
    const { kwh, lowKwh, highKwh } = figures[n]!;
    return {
      month: name,
      ...figures[n]!,
      underWay: name === thisMonth,
      x: (n + 0.5) * column,
      width: BREADTH * column,
      top: y(Math.max(0, kwh ?? 0)),
      height: Math.abs(kwh ?? 0) / (highest - lowest),
      high: highKwh === null ? null : y(highKwh),
      low: lowKwh === null ? null : y(lowKwh),
    };
  });
  return { kind, bars, zero: y(0), mark: markOf(highest, y) };
}

/** The greatest of 1, 2 or 5 times a power of ten that takes at most four fifths of the height. */
function markOf(highest: number, y: (kwh: number) => number): Bars['mark'] {
  const room = 0.8 * highest;
  const power = 10 ** Math.floor(Math.log10(room));
  const kwh = [5, 2, 1].map((times) => times * power).find((each) => each <= room);
  return kwh === undefined ? null : { kwh, y: y(kwh) };
}
