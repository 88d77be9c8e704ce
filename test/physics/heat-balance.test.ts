import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { BalanceHour } from '../../model/balance-hours.ts';
import { heatBalance } from '../../model/heat-balance.ts';
import { learnedFrom } from '../../model/learned.ts';
import { hoursOf, ofThousandLitres as settings } from './known-hours.ts';

test('finds the flow whatever the loss, the filter pump and the noise', () => {
  fc.assert(
    fc.property(
      fc.record({
        flowLPerMin: fc.double({ min: 2, max: 6, noNaN: true }),
        lossWPerK: fc.double({ min: 5, max: 18, noNaN: true }),
        sunM2: fc.double({ min: 0, max: 0.1, noNaN: true }),
        filterW: fc.constantFrom(0, 100, 250),
        noiseK: fc.constantFrom(0.02, 0.05, 0.1),
        seed: fc.integer({ min: 1, max: 1e6 }),
      }),
      (world) => {
        const found = heatBalance(hoursOf(world), world.lossWPerK, settings)!;
        // Sun on the tub cannot be wholly told from sun on the collectors: up to 0.1 l/min.
        const away = Math.abs(found.flowLPerMin - world.flowLPerMin);
        expect(away).toBeLessThan(0.1 + 0.03 * world.flowLPerMin + 4 * found.scatterLPerMin);
        if (world.filterW === 250) expect(found.otherW[9]).toBeGreaterThan(120);
      },
    ),
    { numRuns: 60 },
  );
});

test('is not led astray by baths that no sensor told of', () => {
  const world = { flowLPerMin: 4, lossWPerK: 9, sunM2: 0.03, filterW: 0, noiseK: 0.03, seed: 7 };
  const bathed = hoursOf(world).map((hour, i) =>
    i % 24 === 19 && i % 3 === 0 ? { ...hour, riseK: hour.riseK - 0.6 } : hour,
  );
  expect(heatBalance(bathed, 9, settings)!.flowLPerMin).toBeCloseTo(4, 0);
});

test('says nothing where the pump hardly ran', () => {
  const idle = hoursOf({
    flowLPerMin: 4,
    lossWPerK: 9,
    sunM2: 0,
    filterW: 0,
    noiseK: 0.02,
    seed: 3,
  }).map((hour) => ({ ...hour, driveKwhMinPerL: 0 }));
  expect(heatBalance(idle, 9, settings)).toBeNull();
});

test('learns that starts bring more where they do, and tells the heat that came', () => {
  const litres = -0.9;
  const world = { flowLPerMin: 4, lossWPerK: 12, sunM2: 0.06, filterW: 0, noiseK: 0.02, seed: 5 };
  const hours = hoursOf({ ...world, standingLitres: litres, startsPerHour: 4 });
  const heat = (flow: number, standing: number) =>
    hours.reduce(
      (kwh, hour) => kwh + flow * hour.driveKwhMinPerL - standing * hour.standingKwhPerL,
      0,
    );
  const learned = learnedFrom([{ date: '2026-05-01', night: null, why: [], hours }], {
    ...settings,
    tub: { ...settings.tub, lossWPerK: 12 },
  });
  const { flowLPerMin, standingLitres } = learned;
  expect(standingLitres.value).toBeLessThan(-0.4);
  const told = heat(flowLPerMin.value, standingLitres.value) / heat(4, litres);
  expect(Math.abs(told - 1)).toBeLessThan(0.03);
});

test('parts of the time that disagree about the flow widen its uncertainty', () => {
  const world = { lossWPerK: 9, sunM2: 0.03, filterW: 0, noiseK: 0.03 };
  const [before, after] = [2, 4].map((flowLPerMin, i) =>
    hoursOf({ ...world, flowLPerMin, seed: 7 + i }),
  ) as [BalanceHour[], BalanceHour[]];
  const steady = heatBalance([...before, ...before], 9, settings)!;
  expect(steady.heatUncertainty).toBeLessThan(0.03);
  const changed = heatBalance([...before, ...after.slice(0, 8 * 24)], 9, settings)!;
  const far = 4 / changed.flowLPerMin - 1;
  expect(2 * changed.heatUncertainty).toBeGreaterThan(0.9 * far);
});
