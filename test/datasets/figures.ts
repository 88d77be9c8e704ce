/** A figure of ours beside the one that it should be. */
export interface Figure {
  name: string;
  ours: number;
  expected: number;
  unit: string;
  /** How far ours may be off: in the unit, or where `share` is set in percent of what is expected. */
  limit: number;
  share?: true;
}

/** How far off a figure is, in the terms of its limit. */
const offBy = ({ ours, expected, share }: Figure): number =>
  share ? 100 * (ours / expected - 1) : ours - expected;

/** What is no number, or dropped out on the way, is missed as well. */
const isReached = (figure: Figure): boolean => Math.abs(offBy(figure)) <= figure.limit;

/** The pair that is furthest apart; one that is no number is further than any. */
export function furthest<T extends { ours: number; expected: number }>(pairs: readonly T[]): T {
  const apart = ({ ours, expected }: T) => {
    const off = Math.abs(ours - expected);
    return Number.isNaN(off) ? Number.POSITIVE_INFINITY : off;
  };
  return pairs.reduce((a, b) => (apart(a) > apart(b) ? a : b));
}

/** Prints a table of the figures; returns how many are not reached. */
export function printed(figures: readonly Figure[]): number {
  const rows = [
    ['figure', 'reached', 'should be', 'off by', 'limit', 'margin'],
    ...figures.map((figure) => {
      const { name, ours, expected, unit, limit, share } = figure;
      const of = share ? '%' : unit;
      return [
        name,
        `${number(ours)} ${unit}`,
        `${number(expected)} ${unit}`,
        `${offBy(figure).toPrecision(2)} ${of}`,
        `${limit} ${of}`,
        isReached(figure) ? margin(figure) : 'MISSED',
      ];
    }),
  ];
  const widths = rows[0]!.map((_, column) => Math.max(...rows.map((row) => row[column]!.length)));
  for (const row of rows) {
    console.info(
      row
        .map((cell, column) => cell.padEnd(widths[column]!))
        .join('  ')
        .trimEnd(),
    );
  }
  return figures.filter((figure) => !isReached(figure)).length;
}

/** What is left of the limit. */
const margin = (figure: Figure): string =>
  figure.limit === 0
    ? 'exact'
    : `${Math.round(100 * (1 - Math.abs(offBy(figure)) / figure.limit))} %`;

const number = (value: number): string => String(Number(value.toPrecision(6)));
