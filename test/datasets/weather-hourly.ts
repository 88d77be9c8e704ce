import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { haurwitz } from '../../model/clear-sky.ts';
import { sunPosition } from '../../model/sun.ts';
import type { Figure } from './figures.ts';
import { sum } from './files.ts';

const place = { latitude: 52.1, longitude: 5.18 };
const HOUR = 3_600_000; // ms
/** A lower sun is dimmed by more than a formula of its height alone can know. */
const LOWEST_DEG = 15;

interface Row {
  /** End of the hour [ms since 1970-01-01 UTC]. */
  to: number;
  ghiWhPerM2: number;
  airC: number;
}

/**
 * A measured year at De Bilt, whose stamps are the ends of hours in UTC. Measured light hardly ever beats
 * that of a clear sky, so what it reaches at best tells which convention is meant: read as the
 * beginnings of hours it would beat it by a third.
 */
export function weatherHourly(folder: string): Figure[] {
  const rows = rowsOf(join(folder, 'knmi_260_2018.txt.gz'));
  const month = (number: number) =>
    sum(
      rows
        .filter(({ to }) => new Date(to - HOUR / 2).getUTCMonth() === number - 1)
        .map(({ ghiWhPerM2 }) => ghiWhPerM2 / 1000),
    );
  const gaps = rows.filter(({ to }, i) => i > 0 && to - rows[i - 1]!.to !== HOUR).length;
  const unknown = rows.filter(
    ({ ghiWhPerM2, airC }) => !Number.isFinite(ghiWhPerM2) || !Number.isFinite(airC),
  ).length;
  return [
    { name: 'hours', ours: rows.length, expected: 8760, unit: '', limit: 0 },
    {
      name: 'hours out of step or without light or air',
      ours: gaps + unknown,
      expected: 0,
      unit: '',
      limit: 0,
    },
    {
      name: 'light of the year',
      ours: sum(rows.map((row) => row.ghiWhPerM2 / 1000)),
      expected: 1137,
      unit: 'kWh/m²',
      limit: 0.5,
    },
    { name: 'light of June', ours: month(6), expected: 155, unit: 'kWh/m²', limit: 0.5 },
    { name: 'light of December', ours: month(12), expected: 14, unit: 'kWh/m²', limit: 0.5 },
    {
      name: 'best share of a clear sky, stamps as ends',
      ours: best(rows, -HOUR / 2),
      expected: 1.03,
      unit: '',
      limit: 0.01,
    },
    {
      name: 'best share of a clear sky, stamps as beginnings',
      ours: best(rows, HOUR / 2),
      expected: 1.37,
      unit: '',
      limit: 0.02,
    },
    {
      name: 'light while the sun is down, stamps as ends',
      ours: inTheDark(rows, -HOUR / 2),
      expected: 0,
      unit: '%',
      limit: 0.1,
    },
  ];
}

/** The share of a clear sky's light that 98 of 100 hours stay below, the sun taken at the middle. */
function best(rows: readonly Row[], toMiddle: number): number {
  const shares = rows.flatMap(({ to, ghiWhPerM2 }) => {
    const { apparentElevationDeg } = sunPosition(to + toMiddle, place.latitude, place.longitude);
    return apparentElevationDeg > LOWEST_DEG
      ? [ghiWhPerM2 / haurwitz(90 - apparentElevationDeg)]
      : [];
  });
  return shares.sort((a, b) => a - b)[Math.floor(0.98 * shares.length)]!;
}

/** How much of the year's light came in hours at whose ends and middle the sun is well below the horizon. */
function inTheDark(rows: readonly Row[], toMiddle: number): number {
  const isDark = (t: number) => sunPosition(t, place.latitude, place.longitude).elevationDeg < -3;
  const dark = rows.filter(({ to }) =>
    [-HOUR / 2, 0, HOUR / 2].every((part) => isDark(to + toMiddle + part)),
  );
  return (100 * sum(dark.map((row) => row.ghiWhPerM2))) / sum(rows.map((row) => row.ghiWhPerM2));
}

/** Comments, a line that begins with `# STN`, an empty one, then columns between commas. */
function rowsOf(file: string): Row[] {
  const lines = gunzipSync(readFileSync(file)).toString('latin1').split('\n');
  const header = lines.findIndex((line) => line.startsWith('# STN'));
  const names = lines[header]!.slice(1)
    .split(',')
    .map((name) => name.trim());
  const at = (cells: readonly string[], name: string) => cells[names.indexOf(name)]!.trim();
  return lines
    .slice(header + 1)
    .filter((line) => line.trim() !== '')
    .map((line) => {
      const cells = line.split(',');
      const date = at(cells, 'YYYYMMDD');
      const midnight = Date.UTC(+date.slice(0, 4), +date.slice(4, 6) - 1, +date.slice(6, 8));
      return {
        to: midnight + Number(at(cells, 'HH')) * HOUR,
        ghiWhPerM2: (Number(at(cells, 'Q') || Number.NaN) * 10_000) / 3600,
        airC: Number(at(cells, 'T') || Number.NaN) / 10,
      };
    });
}
