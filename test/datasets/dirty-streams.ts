import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { parse } from 'csv-parse/sync';
import { HOUR, MINUTE, type Trace } from '../../model/readings.ts';
import { goRound } from '../rules/go-round.ts';
import { loopDays } from '../rules/loop-days.ts';
import type { Figure } from './figures.ts';

/**
 * Streams with faults that somebody met: a station's sensors that tell −7999 °C most of a day, and a room
 * thermometer that was not heard for days on end. What rules tell of them.
 */
export function dirtyStreams(folder: string): Figure[] {
  return [...sentinels(folder), ...gaps(folder)];
}

const count = (name: string, ours: number, expected: number): Figure => ({
  name,
  ours,
  expected,
  unit: '',
  limit: 0,
});

function sentinels(folder: string): Figure[] {
  const rows = parse(gunzipSync(readFileSync(join(folder, 'midc_raw_20181018.txt.gz'))), {
    columns: true,
  }) as Record<string, string>[];
  const began = Date.parse('2018-10-18T07:00:00Z'); // mountain standard time, a row a minute
  const trace = (column: string): Trace => ({
    t: Float64Array.from(rows, (_, i) => began + i * MINUTE),
    v: Float64Array.from(rows, (row) => Number(row[column])),
  });
  const faults = alertsOf(
    new Map([
      ['collector/temperature', trace('Temp CHP1 [deg C]')],
      ['outdoor/temperature', trace('Air Temperature [deg C]')],
      ['collector/irradiance', trace('Global Horiz (platform) [W/m^2]')],
    ]),
    { latitude: 39.74, longitude: -105.18, timeZone: 'America/Denver' },
  );
  const open = faults.filter(({ fault }) => fault === 'sensor-open');
  return [
    count('rows of the station', rows.length, 1440),
    count('sensors told to be open', open.length, 1),
    count('minutes until then', (open[0]!.raisedAt - began) / MINUTE, 3),
    count('other alerts of it', faults.length - open.length, 0),
  ];
}

function gaps(folder: string): Figure[] {
  const file = join(folder, 'ambient_temperature_system_failure.csv');
  const rows = parse(readFileSync(file), { columns: true }) as Record<string, string>[];
  const t = Float64Array.from(rows, (row) => Date.parse(`${row.timestamp!.replace(' ', 'T')}Z`));
  const v = Float64Array.from(rows, (row) => (Number(row.value) - 32) / 1.8);
  const long = t.filter((at, i) => i > 0 && at - t[i - 1]! > 12 * HOUR).length;
  const faults = alertsOf(new Map([['outdoor/temperature', { t, v }]]), null);
  return [
    count('rows of the room', rows.length, 7267),
    count('silences told, of those over half a day', silences(faults), long),
    count('of these, over', faults.filter(({ until }) => until !== null).length, long),
  ];
}

const silences = (faults: ReturnType<typeof alertsOf>): number =>
  faults.filter(({ fault }) => fault === 'device-silent').length;

export function alertsOf(
  traces: Map<string, Trace>,
  place: { latitude: number; longitude: number; timeZone: string } | null,
) {
  const made = loopDays({ days: 0, ...(place ? { setup: { place } } : {}) });
  const all = [...traces.values()];
  const from = Math.min(...all.map(({ t }) => t[0]!));
  const to = Math.max(...all.map(({ t }) => t.at(-1)!));
  return goRound({ ...made, traces, from, to }).raised;
}
