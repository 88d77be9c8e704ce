import { expect, test } from 'vitest';
import { MINUTE, type Trace } from '../../model/readings.ts';
import { frozenReading } from '../../model/rules/frozen-reading.ts';
import { sensorOpen } from '../../model/rules/sensor-open.ts';
import { goRound } from './go-round.ts';
import { loopDays } from './loop-days.ts';

/** Goes round measured rows at even intervals; the last one is repeated to `rows` rows in all. */
function told(
  points: Record<string, readonly number[]>,
  { from, everyMs, rows }: { from: string; everyMs: number; rows: number },
  place: { latitude: number; longitude: number; timeZone: string },
) {
  const began = Date.parse(from);
  const traces = new Map<string, Trace>(
    Object.entries(points).map(([point, values]) => [
      point,
      {
        t: Float64Array.from({ length: rows }, (_, i) => began + i * everyMs),
        v: Float64Array.from({ length: rows }, (_, i) => values[Math.min(i, values.length - 1)]!),
      },
    ]),
  );
  const made = { ...loopDays({ days: 0, setup: { place } }), traces };
  const to = began + rows * everyMs;
  return goRound({ ...made, from: began, to }, { rules: [sensorOpen, frozenReading] }).raised;
}

// A flat-plate field at the Plataforma Solar de Almería on 2023-06-30, a row every 10 s, whose logger said
// the last of these rows 523 times. Source: github.com/juan11iguel/SolarMED, commit 9bbf929, experimental
// series of 20230630; Apache License 2.0, © 2025 Juan Miguel Serrano.
const field = {
  'collector/irradiance': [239.3077, 238.7764, 238.0937, 237.3893, 236.5501, 235.5062, 233.8288],
  'collector/inlet': [41.53642, 41.52938, 41.52498, 41.52464, 41.52149, 41.52186, 41.5294],
  'collector/outlet': [41.22452, 41.21711, 41.20966, 41.20598, 41.2023, 41.19795, 41.18497],
  'outdoor/temperature': [28.88218, 28.87871, 28.87522, 28.87226, 28.85589, 28.84003, 28.79538],
};

test('a measured field whose logger repeats itself is one alert after twenty minutes', () => {
  const place = { latitude: 37.09, longitude: -2.36, timeZone: 'Europe/Madrid' };
  const span = { from: '2023-06-30T17:02:00Z', everyMs: 10_000, rows: 529 };
  const raised = told(field, span, place);
  expect(raised).toHaveLength(1);
  const frozenAt = Date.parse('2023-06-30T17:03:00Z');
  expect(raised[0]).toMatchObject({ since: frozenAt, evidence: { together: 4 } });
  expect(raised[0]!.raisedAt - frozenAt).toBe(20 * MINUTE);
});

// The first minutes of 2018-10-18 at a weather station: three thermometers that nobody had connected beside
// one that was. Source: US National Renewable Energy Laboratory, public domain, as in
// github.com/pvlib/pvlib-python, commit 6382338, tests/data/midc_raw_20181018.txt.
const station = {
  'collector/temperature': [-7999, -373.4, -411.5, -443.9, -398.2, -372.8, -7999, -1972],
  'collector/outlet': [-7999, -246.7, -246.8, -246.7, -246.8, -246.8, -7999, -221.7],
  'outdoor/temperature': [16.1, 16.06, 16.03, 16.01, 16, 15.97, 15.95, 15.95],
};

test('a measured station tells which of its thermometers are not connected', () => {
  const place = { latitude: 39.74, longitude: -105.18, timeZone: 'America/Denver' };
  const span = { from: '2018-10-18T07:00:00Z', everyMs: MINUTE, rows: 8 };
  const raised = told(station, span, place);
  expect(raised.map(({ fault, point }) => `${fault} ${point}`)).toEqual([
    'sensor-open collector/temperature',
    'sensor-open collector/outlet',
  ]);
});
