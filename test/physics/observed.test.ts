import { expect, test } from 'vitest';
import { workOut } from '../../model/ledger.ts';
import { HOUR } from '../../model/readings.ts';
import { disturbances } from '../../model/undisturbed.ts';
import { quarters } from './quarters.ts';
import { always, rows, tracesOf } from './traces.ts';

const start = Date.parse('2026-03-01T10:00:00Z');
const versions = always();

/** Quarters over three hours of a tub at 38 °C, by its collectors and by when the pump was heard. */
function loop(collectorC: (s: number) => number, pump: [number, number][]) {
  const traces = tracesOf(start, {
    'tub/temperature': rows(0, 10_800, 30, 38),
    'collector/temperature': rows(0, 10_800, 30, collectorC),
    'pump/running': pump,
    'outdoor/temperature': rows(0, 10_800, 60, 5),
  });
  return workOut(versions, traces, start, start + 3 * HOUR, start + 3 * HOUR);
}

const driveOf = (found: ReturnType<typeof loop>): number =>
  found.reduce((sum, { driveKwhMinPerL }) => sum + (driveKwhMinPerL ?? 0), 0);
const startsOf = (found: ReturnType<typeof loop>): number =>
  found.reduce((sum, { standingKwhPerL }) => sum + standingKwhPerL, 0);

test('collectors that boil above a pump heard running long ago bring nothing', () => {
  const ran = driveOf(loop((s) => (s < 3600 ? 48 : 38), rows(0, 10_800, 30, 1)));
  // The board fell silent after an hour; the pump stopped, and the collectors went up to 120 °C.
  const silent = loop((s) => (s < 3600 ? 48 : 120), [...rows(0, 3600, 30, 1), [10_800, 0]]);
  // For ten minutes the last word is believed.
  const believed = (driveOf(silent) - ran) / (82 / 10);
  expect(believed).toBeGreaterThan(0);
  expect(believed).toBeLessThan(ran / 5);
});

test('a pump that tells changes alone goes on running as long as its collectors are cool', () => {
  const often = driveOf(loop(() => 46, rows(0, 10_800, 30, 1)));
  expect(driveOf(loop(() => 46, [[0, 1]]))).toBeCloseTo(often, 9);
});

test('a start costs the more the longer water stood, and nothing like it after frost', () => {
  const pump = (idleS: number): [number, number][] => [
    ...rows(0, 3570, 30, 1),
    ...rows(3600, 3570 + idleS, 30, 0),
    ...rows(3600 + idleS, 10_800, 30, 1),
  ];
  const short = startsOf(loop(() => 44, pump(600)));
  const long = startsOf(loop(() => 44, pump(4800)));
  expect(short).toBeGreaterThan(0);
  expect(long).toBeGreaterThan(2 * short);
  // Water left at 10 °C can only cool to 5: what it costs lies between the two, however long it stood.
  const frost = (idleS: number) => startsOf(loop((s) => (s < 3600 ? 10 : 44), pump(idleS)));
  expect(frost(4800) - frost(600)).toBeLessThan((long - short) / 4);
});

test('a step of a coarse sensor is no bath, and twice as much is one', () => {
  const fall = (stepK: number, fellK: number) =>
    disturbances(
      quarters(start, 8, (i) => ({
        tubC: i < 4 ? 38 : 38 - fellK,
        tubHighC: i === 2 ? 38 + stepK : 38,
        tubLowC: 38,
      })),
      versions[0]!.settings,
    ).filter((why) => why === 'bath or top-up').length;
  expect(fall(0.5, 0.5)).toBe(0);
  expect(fall(0.1, 0.5)).toBe(2);
  expect(fall(0.5, 1)).toBe(2);
});
