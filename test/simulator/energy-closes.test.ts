import { expect, test } from 'vitest';
import { Recorded } from '../../collector-service/replay/recorded.ts';
import { balanceHours } from '../../model/balance-hours.ts';
import { workOut } from '../../model/ledger.ts';
import { nightsWithin } from '../../model/night.ts';
import { firstAtOrAfter, HOUR, QUARTER } from '../../model/readings.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { Simulation } from './simulation.ts';

const DAYS = 3;
/** What a well covered tub takes of the sun in the collectors' plane. [m²] */
const SUN_M2 = 0.06;

/**
 * Metered heat, losses and sun against what the water took up, over the undisturbed hours of houses whose
 * instruments tell the truth [kWh].
 */
function books(seed: number) {
  const house = new Simulation({ seed, kit: 'C', from: '2026-04-10', days: DAYS, flaws: [] });
  const recorded = new Recorded();
  for (const batch of house.batches()) {
    for (const reading of batch) if (Number.isFinite(reading.value)) recorded.add(reading);
  }
  const { setup, truth } = house;
  const settings = tubSettings(setup);
  const { latitude, longitude } = settings.place;
  const traces = recorded.traces(setup.id);
  const quarters = [];
  for (let t = truth.from; t < truth.to; t += 6 * HOUR) {
    const around = new Map(
      [...traces].map(([point, { t: times, v }]) => {
        const [a, b] = [firstAtOrAfter(times, t - 6 * HOUR), firstAtOrAfter(times, t + 12 * HOUR)];
        return [point, { t: times.subarray(a, b), v: v.subarray(a, b) }];
      }),
    );
    const from = Math.floor(t / QUARTER) * QUARTER;
    const version = { from: Number.NEGATIVE_INFINITY, settings };
    quarters.push(...workOut([version], around, from, from + 6 * HOUR, truth.to));
  }
  const nights = nightsWithin(truth.from, truth.to, latitude, longitude);
  const hours = balanceHours(quarters, settings, nights).filter((hour) => hour.meteredKwh !== null);
  const sum = (of: (hour: (typeof hours)[number]) => number) =>
    hours.reduce((total, hour) => total + of(hour), 0);
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  return {
    hours: hours.length,
    cameKwh: sum((hour) => hour.meteredKwh! + SUN_M2 * hour.sunKwhPerM2),
    lostKwh: (truth.total.uaWPerK! / 1000) * sum((hour) => hour.lossKh),
    heldKwh: kwhPerK * sum((hour) => hour.riseK),
  };
}

test('what came less what was lost is what the water holds more, hour by undisturbed hour', () => {
  let worst = 0;
  for (const seed of [1, 3, 8, 12]) {
    const { hours, cameKwh, lostKwh, heldKwh } = books(seed);
    expect(hours, `hours of house ${seed}`).toBeGreaterThan(20);
    const share = Math.abs(cameKwh - lostKwh - heldKwh) / (cameKwh + lostKwh);
    process.stdout.write(
      `house ${seed}: ${hours} hours, came ${cameKwh.toFixed(2)}, lost ${lostKwh.toFixed(2)}, ` +
        `held ${heldKwh.toFixed(2)} kWh, open ${(100 * share).toFixed(1)} %\n`,
    );
    worst = Math.max(worst, share);
  }
  // Of the sun on the tub, wind and rain no more is known than their usual size.
  expect(worst).toBeLessThan(0.03);
});
