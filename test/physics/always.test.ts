import fc from 'fast-check';
import { expect, test } from 'vitest';
import { dayBounds } from '../../model/civil-time.ts';
import { expectedOn } from '../../model/expected.ts';
import { cooledC, openLossW, skyC, UNDISTURBED } from '../../model/tub-losses.ts';
import { known, quarters } from './quarters.ts';
import { always } from './traces.ts';

/** What holds of every tub, sky and set-up. */

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

test('a colder night never gives less loss, under the cover nor without it', () => {
  const night = fc.record({
    tubC: between(20, 41),
    airC: between(-15, 19),
    colderK: between(0, 15),
    lossWPerK: between(3, 25),
    whPerK: between(400, 2500),
    hours: between(0.25, 14),
    windMPerS: between(0, 5),
    humidity: between(0.3, 1),
  });
  fc.assert(
    fc.property(night, ({ tubC, airC, colderK, lossWPerK, whPerK, hours, windMPerS, humidity }) => {
      const lost = (air: number) => whPerK * (tubC - cooledC(tubC, air, lossWPerK, whPerK, hours));
      expect(lost(airC - colderK)).toBeGreaterThanOrEqual(lost(airC) - 1e-9);
      const open = (air: number) =>
        openLossW(
          { areaM2: 3, waterC: tubC, airC: air, humidity, windMPerS, activity: UNDISTURBED },
          skyC(air, air - 5, 2),
        );
      expect(open(airC - colderK)).toBeGreaterThanOrEqual(open(airC) - 1e-6);
    }),
  );
});

test('more sun never gives less expected heat', () => {
  const world = fc.record({
    collectors: fc.record({
      count: fc.integer({ min: 1, max: 6 }),
      tiltDeg: between(15, 75),
      azimuthDeg: between(0, 359),
      eta0: between(0.5, 0.82),
      a1: between(0.8, 6),
      a2: between(0, 0.02),
    }),
    flowLPerMin: between(1, 8),
    airC: between(-10, 35),
    tubC: between(20, 41),
    share: between(0, 1), // of 1 kW/m²
    more: between(0, 0.3),
  });
  fc.assert(
    fc.property(world, ({ collectors, flowLPerMin, airC, tubC, share, more }) => {
      const { settings } = always({ collectors })[0]!;
      const day = dayBounds('2026-01-20', 'UTC');
      const expectedKwh = (kwPerM2: number) =>
        expectedOn({
          settings,
          learned: known(8, flowLPerMin),
          quarters: quarters(day.from, 96, () => ({ airC, tubC, sunKwhPerM2: kwPerM2 / 4 })),
          day,
          present: day.to,
        }).expectedKwh;
      const less = expectedKwh(share);
      expect(less).toBeGreaterThanOrEqual(0);
      expect(expectedKwh(share + more)).toBeGreaterThanOrEqual(less - 1e-9);
    }),
    { numRuns: 40 },
  );
});
