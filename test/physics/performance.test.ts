import fc from 'fast-check';
import { expect, test } from 'vitest';
import { clearPlaneSun, loopPowerW } from '../../model/expected.ts';
import type { Quarter } from '../../model/ledger.ts';
import { performanceOf, performanceRatio } from '../../model/performance.ts';
import { HOUR, QUARTER } from '../../model/readings.ts';
import type { TubSetup } from '../../model/setup.ts';
import { tubSettings } from '../../model/tub-settings.ts';
import { evenly } from './evenly.ts';
import { known, quarters } from './quarters.ts';

const dataSheet = { count: 4, areaM2: 0.8, tiltDeg: 40, eta0: 0.74, a1: 3.9, a2: 0.012 };
const settingsOf = (change: Partial<TubSetup> = {}) =>
  tubSettings({
    id: 'kowhai',
    place: { latitude: -41.27, longitude: 173.28, elevationM: 40, timeZone: 'Pacific/Auckland' },
    collectors: dataSheet,
    ...change,
  });
const settings = settingsOf();
const learned = known(8, 4);
const TUB_C = 37;
const AIR_C = 18;

const dayFrom = (from: string) => {
  const t = Date.parse(from);
  return { from: t, to: t + 24 * HOUR };
};
const summer = dayFrom('2026-01-14T11:00Z');
const winter = dayFrom('2026-06-20T12:00Z');

/** Heat that a clear sky lets expect of the quarter from `t` on [W]. */
const clearW = (t: number, given = settings): number => {
  const sun = clearPlaneSun(t + QUARTER / 2, given);
  return sun ? loopPowerW(sun, TUB_C, AIR_C, 4, given) : 0;
};

/** A day on which the loop runs whenever a clear sky would warm it, and brings `share(i)` of that. */
function dayOf(
  day: { from: number; to: number },
  share: (i: number) => number,
  change: (t: number) => Partial<Quarter> = () => ({}),
): Quarter[] {
  return quarters(day.from, 96, (i) => {
    const t = day.from + i * QUARTER;
    const watts = clearW(t);
    const sun = clearPlaneSun(t + QUARTER / 2, settings);
    const runs = watts > 50;
    const light = { sunKwhPerM2: ((sun?.beam ?? 0) + (sun?.diffuse ?? 0)) / 4000 };
    const kwh = runs ? (share(i) * watts) / 4000 : 0;
    const loop = runs ? { gainKwh: kwh, litres: 60, pumpOnMs: QUARTER, collectorC: 45 } : {};
    return { tubC: TUB_C, airC: AIR_C, ...light, ...loop, ...change(t) };
  });
}

test('the envelope of a clear day is the share of the clear sky’s heat that came', () => {
  fc.assert(
    fc.property(evenly(0.4, 1.14), (share) => {
      const { envelope, basis } = performanceOf(
        dayOf(summer, () => share),
        summer,
        settings,
        learned,
      );
      expect(envelope).toBeCloseTo(share, 6);
      expect(basis).toBe('measured');
    }),
    { numRuns: 25 },
  );
});

test('cloud only lowers the envelope, and one clear half hour is enough for it', () => {
  fc.assert(
    fc.property(fc.array(evenly(0, 1), { minLength: 96, maxLength: 96 }), (left) => {
      const clouds = dayOf(summer, (i) => 0.9 * left[i]!);
      const { envelope } = performanceOf(clouds, summer, settings, learned);
      expect(envelope ?? 0).toBeLessThanOrEqual(0.9 + 1e-9);
    }),
    { numRuns: 50 },
  );
  const noon = 52;
  const gap = dayOf(summer, (i) => (Math.abs(i - noon) <= 2 ? 0.9 : 0.2));
  expect(performanceOf(gap, summer, settings, learned).envelope).toBeCloseTo(0.9, 6);
});

test('what is more than a clear sky gives, or not steady, is no part of it', () => {
  const envelope = (share: (i: number) => number) =>
    performanceOf(dayOf(summer, share), summer, settings, learned).envelope;
  expect(envelope(() => 1.2)).toBeNull();
  expect(envelope((i) => (i % 2 === 0 ? 0.95 : 0.4))).toBeNull();
  expect(envelope((i) => (i > 50 && i < 55 ? 1.3 : 0.8))).toBeLessThan(0.9);
});

test('a pump that has just started, or stopped in between, tells nothing', () => {
  const everyOther = dayOf(
    summer,
    () => 0.9,
    (t) => ((t / QUARTER) % 2 === 0 ? { pumpOnMs: QUARTER - 60_000 } : {}),
  );
  expect(performanceOf(everyOther, summer, settings, learned)).toMatchObject({
    envelope: null,
    measured: null,
  });
  const short = dayOf(summer, () => 0.9).filter((_, i) => i % 3 !== 0);
  expect(performanceOf(short, summer, settings, learned).envelope).toBeNull();
});

test('where the noon sun stands below 20 degrees nothing is said of clear sky', () => {
  const south = settingsOf({ place: { latitude: -50, longitude: 170, timeZone: 'UTC' } });
  const low = performanceOf(
    dayOf(winter, () => 0.9),
    winter,
    south,
    learned,
  );
  expect(low.noonDeg).toBeLessThan(20);
  expect(low).toMatchObject({ envelope: null, irradiance: null });
  const here = performanceOf(
    dayOf(winter, () => 0.9),
    winter,
    settings,
    learned,
  );
  expect(here.noonDeg).toBeGreaterThan(20);
  expect(here.envelope).toBeCloseTo(0.9, 6);
});

/** ISO 24194 with the figures of the data sheet, written out. */
function byHand(t: number, meanC: number): number {
  const sun = clearPlaneSun(t + QUARTER / 2, settings)!;
  const slant = (deg: number) => 1 - 0.1 * (1 / Math.cos((deg * Math.PI) / 180) - 1);
  const x = meanC - AIR_C;
  const light = slant(sun.incidence) * sun.beam + slant(60) * sun.diffuse;
  return 4 * 0.8 * (0.74 * light - 3.9 * x - 0.012 * x * x) - 0.25 * 24 * x;
}

test('a loop that does what its data sheet says stands at 1 over the factors of safety', () => {
  const warmingK = 6;
  const exact = dayOf(
    summer,
    () => 1,
    (t) => {
      if (clearW(t) <= 50) return {};
      const watts = byHand(t, TUB_C + warmingK / 2);
      return { gainKwh: watts / 4000, litres: (watts * 900) / 1000 / 4.15 / warmingK };
    },
  );
  const day = performanceOf(exact, summer, settings, learned);
  expect(day.measured!.windows).toBeGreaterThanOrEqual(4);
  expect(day.measured!.kwh / day.measured!.estimatedKwh).toBeCloseTo(1 / (0.97 * 0.95 * 0.98), 6);
});

test('the ratio waits for ten half hours of three days', () => {
  const day = performanceOf(
    dayOf(summer, () => 0.95),
    summer,
    settings,
    learned,
  );
  const { kwh, estimatedKwh, windows } = day.measured!;
  expect(windows).toBeGreaterThanOrEqual(5);
  expect(performanceRatio([day, day])).toBeNull();
  expect(performanceRatio([day, day, day])).toBeCloseTo(kwh / estimatedKwh, 9);
  const few = { ...day, measured: { kwh, estimatedKwh, windows: 3 } };
  expect(performanceRatio([few, few, few])).toBeNull();
});

test('nothing is held against a data sheet that was not entered, or without glass, sun or air', () => {
  const measured = (given = settings, change: Partial<Quarter> = {}) =>
    performanceOf(
      dayOf(
        summer,
        () => 0.95,
        () => change,
      ),
      summer,
      given,
      learned,
    ).measured;
  expect(measured()).not.toBeNull();
  expect(measured(settingsOf({ collectors: { ...dataSheet, eta0: undefined } }))).toBeNull();
  expect(measured(settingsOf({ collectors: { ...dataSheet, a1: 15 } }))).toBeNull();
  expect(measured(settings, { sunKwhPerM2: null })).toBeNull();
  expect(measured(settings, { airC: null })).toBeNull();
  expect(measured(settings, { sunKwhPerM2: 0.1 })).toBeNull();
  expect(measured(settings, { basis: 'estimated', measuredKwh: 0 })).toBeNull();
  expect(measured(settingsOf({ collectors: { ...dataSheet, azimuthDeg: 180 } }))).toBeNull();
});

test('a sensor in the plane is held against a clear sky around noon', () => {
  fc.assert(
    fc.property(evenly(0.3, 1.14), (share) => {
      const day = dayOf(
        summer,
        () => 0.9,
        (t) => {
          const sun = clearPlaneSun(t + QUARTER / 2, settings);
          return { sunKwhPerM2: (share * ((sun?.beam ?? 0) + (sun?.diffuse ?? 0))) / 4000 };
        },
      );
      const { irradiance } = performanceOf(day, summer, settings, learned);
      expect(Math.abs(irradiance! - share)).toBeLessThan(0.004);
    }),
    { numRuns: 20 },
  );
  const none = dayOf(
    summer,
    () => 0.9,
    () => ({ sunKwhPerM2: null }),
  );
  expect(performanceOf(none, summer, settings, learned).irradiance).toBeNull();
});
