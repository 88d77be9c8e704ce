import { join } from 'node:path';
import { sunPosition } from '../../model/sun.ts';
import { type Figure, furthest } from './figures.ts';
import { csvColumns } from './files.ts';

const latitude = 39.742;
const longitude = -105.18;
/** Local standard time, which no column tells [h]. */
const BEHIND_UTC = 7;

/** The zenith angle of five days at Golden, Colorado, every five minutes, computed elsewhere. */
export function sunPositionClearsky(folder: string): Figure[] {
  const rows = csvColumns(join(folder, 'irradiance_RMIS_NREL.csv.gz'), [
    'measured_on',
    'pvlib_zenith',
  ]);
  const both = rows.map(([time = '', zenithDeg]) => ({
    ours: 90 - sunPosition(instantOf(time), latitude, longitude).elevationDeg,
    expected: Number(zenithDeg),
  }));
  return [
    { name: 'rows', ours: both.length, expected: 1440, unit: '', limit: 0 },
    { name: 'the worst zenith angle', ...furthest(both), unit: '°', limit: 0.005 },
  ];
}

/** `2/1/2019 0:05`, month first. */
function instantOf(time: string): number {
  const [month, day, year, hour, minute] = time.split(/[/ :]/).map(Number);
  return Date.UTC(year!, month! - 1, day!, hour! + BEHIND_UTC, minute!);
}
