import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { BalanceHour } from '../../model/balance-hours.ts';
import type { Evidence } from '../../model/evidence.ts';
import { lossLearned } from '../../model/loss-learned.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { always } from './traces.ts';

const settings = always({ tub: { litres: 1000 } })[0]!.settings;
const whPerK = tubCapacityWhPerK(1000);

interface World {
  lossWPerK: number;
  /** Heat of a filter pump from 5 to 7 in the morning [W]. */
  filterW: number;
  /** What the tub's sensor can tell [K]; 0: all. */
  stepK: number;
  /** Sun that a sensor tells in the dark [kWh/m² in an hour]. */
  darkSun: number;
  seed: number;
}

/** Three weeks of dark hours, 20 to 7 o'clock, of a tub at about 38 °C. */
function evidenceOf({ lossWPerK, filterW, stepK, darkSun, seed }: World): Evidence[] {
  let state = seed;
  const chance = () => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return state / 2147483648;
  };
  const told = (tubC: number) => (stepK > 0 ? stepK * Math.round(tubC / stepK) : tubC);
  return Array.from({ length: 21 }, (_, day) => {
    const hours: BalanceHour[] = [];
    const airC = 4 + 8 * chance();
    let tubC = 37 + 2 * chance();
    for (const hour of [0, 1, 2, 3, 4, 5, 6, 20, 21, 22, 23]) {
      if (hour === 20) tubC = 37 + 2 * chance();
      const heatW = hour === 5 || hour === 6 ? filterW : 0;
      const next = tubC + (heatW - lossWPerK * (tubC - airC)) / whPerK;
      hours.push({
        hour,
        hours: 1,
        riseK: told(next) - told(tubC) + (stepK > 0 ? 0 : 0.02 * (chance() - 0.5)),
        lossKh: tubC - airC,
        dailyH: 0,
        driveKwhMinPerL: 0,
        standingKwhPerL: 0,
        sunKwhPerM2: darkSun,
        meteredKwh: null,
      });
      tubC = next;
    }
    return { date: `2026-03-${String(day + 1).padStart(2, '0')}`, night: null, why: [], hours };
  });
}

test('dark hours tell the loss past filter pumps, coarse steps and sensors that see sun at night', () => {
  let worst = 0;
  fc.assert(
    fc.property(
      fc.record({
        lossWPerK: fc.double({ min: 5, max: 18, noNaN: true }),
        filterW: fc.constantFrom(0, 250),
        stepK: fc.constantFrom(0, 0.1, 0.5),
        darkSun: fc.constantFrom(0, 0.005),
        seed: fc.integer({ min: 1, max: 1e6 }),
      }),
      (world) => {
        const found = lossLearned(evidenceOf(world), settings)!;
        const off = Math.abs(found.wPerK / world.lossWPerK - 1);
        worst = Math.max(worst, off);
        // Half a kelvin is two to three hours' cooling of such a tub, in runs of four and five hours.
        expect(off).toBeLessThan(world.stepK === 0.5 ? 0.2 : 0.05);
        expect(Math.abs(found.wPerK - world.lossWPerK)).toBeLessThan(2 * found.uncertaintyWPerK);
      },
    ),
    { numRuns: 200, seed: 5 },
  );
  process.stdout.write(
    `loss of dark hours: 200 worlds, largest error ${(100 * worst).toFixed(1)} %\n`,
  );
});

test('a night is cleared of what a filter pump warms at its end', () => {
  const evidence = evidenceOf({ lossWPerK: 9, filterW: 200, stepK: 0, darkSun: 0, seed: 3 });
  const nights = evidence.map((day, i) => {
    const to = Date.parse(`${day.date}T07:00:00Z`);
    const night = {
      from: to - 6 * 3_600_000,
      to,
      wPerK: 6.6 + 0.02 * (i % 5), // what a line through such a night tells
      uncertaintyWPerK: 0.5,
      randomWPerK: 0.1,
      systematicWPerK: 0.4,
      tubC: 38,
      airC: 8,
      dropK: 1.2,
      residualK: 0.02,
    };
    return { ...day, night };
  });
  expect(lossLearned(nights, settings)!.wPerK).toBeGreaterThan(7.8);
});

test('too few dark hours tell nothing', () => {
  const world = { lossWPerK: 9, filterW: 0, stepK: 0, darkSun: 0, seed: 3 };
  expect(lossLearned(evidenceOf(world).slice(0, 1), settings)).toBeNull();
  expect(lossLearned([], settings)).toBeNull();
});
