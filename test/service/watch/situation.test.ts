import { expect, test } from 'vitest';
import { situationOf } from '../../../collector-service/watch/situation.ts';

test('a tub without a set-up has the usual longest gaps, those of counters too', () => {
  const at = Date.parse('2026-03-01T00:00:00Z');
  const points = ['tub/temperature', 'pump/volume', 'backup/energy', 'pump/running'];
  const heard = { t: Float64Array.of(at), v: Float64Array.of(1) };
  const { values } = situationOf({
    at,
    settings: null,
    learned: null,
    recent: new Map(points.map((point) => [point, heard])),
    earlier: new Map(),
    lately: new Map(),
    day: null,
    yesterday: null,
    daySpan: null,
    drainedSince: null,
    workingOut: false,
    states: null,
    usualNightKPerH: null,
    alerts: [],
  });
  expect(points.map((point) => values[point]!.longestGapMin)).toEqual([10, 60, 60, 1440]);
});
