import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { BalanceHour } from '../../model/balance-hours.ts';
import { heatBalance } from '../../model/heat-balance.ts';
import { returnPipeLitres } from '../../model/return-pipe.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { always } from './traces.ts';

const settings = always({ tub: { litres: 1000 } })[0]!.settings;
const kwhPerK = tubCapacityWhPerK(1000) / 1000;

interface World {
  flowLPerMin: number;
  lossWPerK: number;
  sunM2: number;
  filterW: number;
  noiseK: number;
  seed: number;
}

/** Three weeks of hours of a tub whose flow, loss and filter pump are known. */
function hoursOf(world: World): BalanceHour[] {
  let state = world.seed;
  const chance = () => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return state / 2147483648;
  };
  const hours: BalanceHour[] = [];
  for (let day = 0; day < 21; day++) {
    const clear = chance();
    for (let hour = 0; hour < 24; hour++) {
      const sun = Math.max(0, Math.sin((Math.PI * (hour - 6)) / 12)) * clear;
      const runs = sun > 0.25 && chance() > 0.15;
      const drive = runs ? 0.35 * sun : 0;
      const standing = runs && chance() > 0.5 ? 0.03 : 0;
      const lossKh = 24 + 3 * chance();
      const filter = hour === 9 || hour === 10 ? world.filterW : 0;
      const kwh =
        world.flowLPerMin * drive -
        returnPipeLitres(settings) * standing -
        (world.lossWPerK * lossKh) / 1000 +
        world.sunM2 * sun +
        filter / 1000;
      const noise = world.noiseK * (chance() + chance() + chance() - 1.5) * 2;
      hours.push({
        hour,
        hours: 1,
        riseK: kwh / kwhPerK + noise,
        lossKh,
        dailyH: 0,
        driveKwhMinPerL: drive,
        standingKwhPerL: standing,
        sunKwhPerM2: sun,
        meteredKwh: null,
      });
    }
  }
  return hours;
}

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
