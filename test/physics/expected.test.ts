import fc from 'fast-check';
import { expect, test } from 'vitest';
import { clearPlaneSun, expectedOn, loopPowerW, measuredPlaneSun } from '../../model/expected.ts';
import type { Quarter } from '../../model/ledger.ts';
import { HOUR, QUARTER } from '../../model/readings.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { evenly } from './evenly.ts';
import { known, quarters } from './quarters.ts';

const settings = tubSettings({
  id: 'kowhai',
  place: { latitude: -41.27, longitude: 173.28, elevationM: 40, timeZone: 'Pacific/Auckland' },
  collectors: { count: 4, areaM2: 0.8, tiltDeg: 40, eta0: 0.74, a1: 3.9, a2: 0.012 },
});
const learned = known(8, 4);
const day = { from: Date.parse('2026-01-14T11:00Z'), to: Date.parse('2026-01-15T11:00Z') };
const tubC = 37;
const airC = 18;

/** A day as the ledger has it: without a sensor of the sun where `change` tells of none. */
const dayOf = (change: (i: number) => Partial<Quarter> = () => ({})): Quarter[] =>
  quarters(day.from, 96, (i) => ({ tubC, airC, sunKwhPerM2: null, ...change(i) }));

const expectedOf = (ledger: readonly Quarter[], present = day.to) =>
  expectedOn({ settings, learned, quarters: ledger, day, present });

const clear = Array.from({ length: 96 }, (_, i) =>
  clearPlaneSun(day.from + (i + 0.5) * QUARTER, settings),
);
const clearKwhPerM2 = clear.map((sun) => (sun ? (sun.beam + sun.diffuse) / 4000 : 0));
const heatKwh = (i: number): number =>
  clear[i] ? Math.max(0, loopPowerW(clear[i], tubC, airC, 4, settings)) / 4000 : 0;
const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

test('without a sensor in the plane a clear sky is what heat is expected from', () => {
  const { expectedKwh, sunKwhPerM2 } = expectedOf(dayOf());
  expect(sunKwhPerM2).toBeCloseTo(sum(clearKwhPerM2), 9);
  expect(expectedKwh).toBeCloseTo(sum(clear.map((_, i) => heatKwh(i))), 9);
});

test('with a sensor its sun is what heat is expected from', () => {
  const grey = dayOf((i) => ({ sunKwhPerM2: 0.4 * clearKwhPerM2[i]! }));
  const told = expectedOf(grey);
  expect(told.sunKwhPerM2).toBeCloseTo(0.4 * sum(clearKwhPerM2), 9);
  expect(told.expectedKwh).toBeLessThan(0.4 * expectedOf(dayOf()).expectedKwh);
  const exact = expectedOf(dayOf((i) => ({ sunKwhPerM2: clearKwhPerM2[i]! })));
  expect(exact.expectedKwh).toBeCloseTo(expectedOf(dayOf()).expectedKwh, 6);
});

test('a quarter that the sensor missed is expected by a clear sky, and no other', () => {
  const missed = 50;
  const told = expectedOf(dayOf((i) => ({ sunKwhPerM2: i === missed ? null : 0 })));
  expect(told.sunKwhPerM2).toBeCloseTo(clearKwhPerM2[missed]!, 9);
  expect(told.expectedKwh).toBeCloseTo(heatKwh(missed), 9);
  expect(told.expectedKwh).toBeGreaterThan(0.1);
});

test('a quarter that was not heard at all is expected like the ones around it', () => {
  const torn = dayOf().filter((_, i) => i < 40 || i > 60);
  expect(expectedOf(torn).expectedKwh).toBeCloseTo(expectedOf(dayOf()).expectedKwh, 9);
});

test('of a day under way only what has come is expected', () => {
  const noon = day.from + 13 * HOUR;
  const half = expectedOf(dayOf(), noon);
  const whole = expectedOf(dayOf());
  expect(half.sunKwhPerM2).toBeCloseTo(sum(clearKwhPerM2.slice(0, 52)), 9);
  expect(half.expectedKwh).toBeLessThan(0.65 * whole.expectedKwh);
  expect(expectedOf(dayOf(), day.from)).toEqual({ expectedKwh: 0, sunKwhPerM2: 0 });
});

test('more measured sun never gives less expected heat', () => {
  fc.assert(
    fc.property(
      evenly(0, 0.35),
      evenly(0, 0.05),
      fc.integer({ min: 28, max: 80 }),
      (less, more, i) => {
        const heat = (kwhPerM2: number) => {
          const sun = measuredPlaneSun(clear[i]!, kwhPerM2)!;
          expect(sun.beam + sun.diffuse).toBeCloseTo(4000 * kwhPerM2, 6);
          expect(Math.min(sun.beam, sun.diffuse)).toBeGreaterThanOrEqual(0);
          return loopPowerW(sun, tubC, airC, 4, settings);
        };
        expect(heat(less + more)).toBeGreaterThanOrEqual(heat(less) - 1e-9);
      },
    ),
    // the sun 86° off the plane's normal: the beam falls in so flat that the glass sends most of it back
    { numRuns: 1000, examples: [[0.00812, 0.000005, 31]] },
  );
});
