import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type BalanceHour, balanceHours } from '../../model/balance-hours.ts';
import { meterCheckOf } from '../../model/meter-check.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { evenly } from './evenly.ts';
import { quarters } from './quarters.ts';

const settings = tubSettings({
  id: 'kowhai',
  place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
  tub: { litres: 1150 },
});
const kwhPerK = tubCapacityWhPerK(1150) / 1000;
const loss = { value: 8, uncertainty: 0.6 };
const noon = Date.parse('2026-01-15T00:00Z');

/** Any hour of a running loop, of which the rest is put in. */
const [anyHour] = balanceHours(
  quarters(noon, 5, () => ({ tubC: 38.5, driveKwhMinPerL: 0.05, pumpOnMs: 900_000 })),
  settings,
  [],
);

/** Hours of a sunny day at a meter that reads `gain` times what is. */
const hoursAt = (gain: number, count = 6, riseK = 0.6): BalanceHour[] =>
  Array.from({ length: count }, () => ({
    ...anyHour!,
    riseK,
    lossKh: 20,
    meteredKwh: gain * (kwhPerK * riseK + (loss.value * 20) / 1000),
  }));

test('a meter that reads what the tub gained and lost stands at 1, a worn one below it', () => {
  fc.assert(
    fc.property(evenly(0.3, 1.6), evenly(0.4, 1.5), (gain, riseK) => {
      const check = meterCheckOf(hoursAt(gain, 6, riseK), loss, settings)!;
      expect(check.ratio).toBeCloseTo(gain, 9);
      expect(check.uncertainty).toBeGreaterThan(0);
    }),
  );
});

test('its uncertainty grows with the doubt in the loss and falls with the rise', () => {
  const of = (riseK: number, uncertainty: number) =>
    meterCheckOf(hoursAt(1, 6, riseK), { ...loss, uncertainty }, settings)!.uncertainty;
  expect(of(0.6, 2)).toBeGreaterThan(of(0.6, 0.5));
  expect(of(1.2, 0.5)).toBeLessThan(of(0.6, 0.5));
  // 6 hours of 0.05 K each against 3.6 K, and 0.5 W/K over 120 K·h against 8 W/K and the rise.
  const tubKwh = kwhPerK * 3.6 + 0.96;
  expect(of(0.6, 0.5)).toBeCloseTo(Math.hypot(kwhPerK * 0.05 * Math.sqrt(6), 0.06) / tubKwh, 9);
});

test('below 1 K of rise, or without a metered hour, nothing is said', () => {
  expect(meterCheckOf(hoursAt(1, 3, 0.3), loss, settings)).toBeNull();
  expect(meterCheckOf([], loss, settings)).toBeNull();
  const unmetered = hoursAt(1).map((hour) => ({ ...hour, meteredKwh: null }));
  expect(meterCheckOf(unmetered, loss, settings)).toBeNull();
  const resting = hoursAt(1).map((hour) => ({ ...hour, driveKwhMinPerL: 0 }));
  expect(meterCheckOf(resting, loss, settings)).toBeNull();
});

test('hours in which heat leaks that nobody knows how much of say nothing', () => {
  expect(meterCheckOf(hoursAt(1), { value: 8, uncertainty: 40 }, settings)).toBeNull();
});

test('the balance’s hours carry metered heat from middle to middle, and none where a part is missing', () => {
  const day = (gap: number) =>
    quarters(noon, 8, (i) => ({
      tubC: 38.5 + 0.1 * i,
      gainKwh: 0.3,
      lostKwh: 0.02,
      driveKwhMinPerL: 0.07,
      pumpOnMs: 900_000,
      ...(i === gap ? { gainKwh: null, lostKwh: null, coveredMs: 0 } : {}),
    }));
  const whole = balanceHours(day(-1), settings, []);
  expect(whole.map(({ meteredKwh }) => meteredKwh)).toEqual([
    expect.closeTo(4 * 0.28, 9),
    expect.closeTo(3 * 0.28, 9),
  ]);
  expect(balanceHours(day(1), settings, []).map(({ meteredKwh }) => meteredKwh)).toEqual([
    null,
    expect.closeTo(3 * 0.28, 9),
  ]);
});
