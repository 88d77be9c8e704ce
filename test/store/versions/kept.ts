import type { Reading } from '../../../model/readings.ts';

/** What every store that is kept for its schema version holds; never changed, as those stores are not. */

const MINUTE = 60_000;
/** Local midnight at the place, and two days later. */
export const START = Date.parse('2026-02-01T11:00:00Z');
export const END = START + 48 * 60 * MINUTE;
export const place = { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' };

export const points = [
  'tub/temperature',
  'collector/temperature',
  'pump/running',
  'collector/inlet',
  'collector/outlet',
  'pump/flow',
] as const;

/** Two days of a loop, four rows an hour, and one reading of a tub that nobody set up. */
export function readings(): Reading[] {
  const all: Reading[] = [];
  for (let i = 0; i < 2 * 96; i++) {
    const t = START + i * 15 * MINUTE;
    const hour = (i % 96) / 4;
    const sun = Math.max(0, Math.sin(((hour - 7) / 12) * Math.PI));
    const on = sun > 0.4 ? 1 : 0;
    const tubC = 34 + (i / 96) * 0.5 + 2 * sun;
    const values: Record<(typeof points)[number], number> = {
      'tub/temperature': tubC,
      'collector/temperature': 15 + 30 * sun,
      'pump/running': on,
      'collector/inlet': tubC,
      'collector/outlet': tubC + 5 * on,
      'pump/flow': 4 * on,
    };
    for (const [point, value] of Object.entries(values)) {
      all.push({ tub: 'kowhai', point, t, value: Math.round(value * 16) / 16 });
    }
  }
  all.push({ tub: 'rata', point: 'tub/temperature', t: START, value: 12.5 });
  return all;
}
