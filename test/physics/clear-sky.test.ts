import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  absoluteAirMass,
  clearnessIndex,
  clearSky,
  dayOfYear,
  diffuseFraction,
  extraterrestrial,
  haurwitz,
  ineichenPerez,
  relativeAirMass,
  splitGlobal,
} from '../../model/clear-sky.ts';
import { evenly } from './evenly.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

interface Sky {
  ghi_W_per_m2: number;
  dni_W_per_m2: number;
  dhi_W_per_m2: number;
}

test('global light from the sun’s height alone is as Haurwitz has it', () => {
  const known = cases<{ apparent_zenith_deg: number }, Sky>('clear-sky', 'Haurwitz');
  hold(
    'Haurwitz',
    8,
    known.map((c) => [haurwitz(c.inputs.apparent_zenith_deg), c.expected.ghi_W_per_m2]),
  );
});

test('the other exponent that is printed for Haurwitz gives 0.2 to 2.3 % more', () => {
  const known = cases<
    { apparent_zenith_deg: number },
    { 'ghi_if_exponent_0.057_W_per_m2': number }
  >('clear-sky', 'Haurwitz').filter(({ inputs }) => inputs.apparent_zenith_deg < 90);
  expect(known).toHaveLength(5);
  for (const { inputs, expected } of known) {
    const more =
      expected['ghi_if_exponent_0.057_W_per_m2'] / haurwitz(inputs.apparent_zenith_deg) - 1;
    expect(more).toBeGreaterThan(0.0019);
    expect(more).toBeLessThan(0.0233);
  }
});

/** Linke turbidity of an air with that much aerosol at 550 nm and water [cm]; Ineichen 2008. */
function turbidityOf(pressureHPa: number, aod550: number, waterCm: number): number {
  const p = 1013.25 / pressureHPa;
  const air = 2 + 0.54 * p - 0.5 * p * p + 0.16 * p ** 3;
  return 3.91 * Math.exp(0.689 * p) * aod550 + 0.376 * Math.log(waterCm) + air;
}

/** Height at which the standard air has a pressure [m]. */
const heightAt = (pressureHPa: number): number => 44_331 * (1 - (pressureHPa / 1013.25) ** 0.19026);

test('another model of the clear sky sees about the same light, from aerosol and water', () => {
  interface Inputs {
    day_of_year: number;
    zenith_deg: number;
    pressure_hPa: number;
    water_cm: number;
    aod_500nm: number;
    aod_380nm: number;
  }
  const known = cases<Inputs, Sky>('clear-sky', 'Bird').map(({ inputs, expected }) => {
    const slope = Math.log(inputs.aod_380nm / inputs.aod_500nm) / Math.log(500 / 380);
    const aod550 = inputs.aod_500nm * (500 / 550) ** slope;
    const haze = turbidityOf(inputs.pressure_hPa, aod550, inputs.water_cm);
    const height = heightAt(inputs.pressure_hPa);
    const ours = clearSky(inputs.zenith_deg, inputs.day_of_year, height, haze);
    return { isLow: inputs.zenith_deg > 75, ours, expected };
  });
  const low = known.filter(({ isLow }) => isLow);
  const high = known.filter(({ isLow }) => !isLow);
  hold(
    'clear sky against Bird',
    18,
    high.flatMap(({ ours, expected }) => [
      [ours.ghi, expected.ghi_W_per_m2],
      [ours.dni, expected.dni_W_per_m2],
    ]),
  );
  hold(
    'clear sky against Bird, low sun',
    6,
    low.flatMap(({ ours, expected }) => [
      [ours.ghi, expected.ghi_W_per_m2],
      [ours.dni, expected.dni_W_per_m2],
    ]),
  );
  hold(
    'diffuse light against Bird',
    12,
    known.map(({ ours, expected }) => [ours.dhi, expected.dhi_W_per_m2]),
  );
});

test('a third model of the clear sky, simplified Solis, does as well', () => {
  interface Inputs {
    apparent_elevation_deg: number;
    aod700: number;
    precipitable_water_cm: number;
    pressure_Pa: number;
    dni_extra_W_per_m2: number;
  }
  const known = cases<Inputs, Sky>('clear-sky', 'simplified Solis');
  hold(
    'clear sky against simplified Solis',
    12,
    known.flatMap(({ inputs, expected }) => {
      const zenith = 90 - inputs.apparent_elevation_deg;
      const pressureHPa = inputs.pressure_Pa / 100;
      const aod550 = inputs.aod700 * (700 / 550) ** 1.3; // usual slope of aerosol with wavelength
      const haze = turbidityOf(pressureHPa, aod550, inputs.precipitable_water_cm);
      const airMass = absoluteAirMass(relativeAirMass(zenith) ?? 1, pressureHPa);
      const height = Math.max(0, heightAt(pressureHPa));
      const ours = ineichenPerez(zenith, airMass, haze, height, inputs.dni_extra_W_per_m2);
      return [
        [ours.ghi, expected.ghi_W_per_m2],
        [ours.dni, expected.dni_W_per_m2],
        [ours.dhi, expected.dhi_W_per_m2],
      ] as const;
    }),
  );
});

test('clear-sky light by haze and altitude is as Ineichen and Perez have it', () => {
  interface Inputs {
    apparent_zenith_deg: number;
    airmass_absolute: number;
    linke_turbidity: number;
    altitude_m: number;
    dni_extra_W_per_m2: number;
    perez_enhancement: boolean;
  }
  const known = cases<Inputs, Sky>('clear-sky', 'Ineichen-Perez');
  hold(
    'Ineichen-Perez',
    45,
    known.flatMap(({ inputs, expected }) => {
      const ours = ineichenPerez(
        inputs.apparent_zenith_deg,
        inputs.airmass_absolute,
        inputs.linke_turbidity,
        inputs.altitude_m,
        inputs.dni_extra_W_per_m2,
        inputs.perez_enhancement,
      );
      return [
        [ours.ghi, expected.ghi_W_per_m2],
        [ours.dni, expected.dni_W_per_m2],
        [ours.dhi, expected.dhi_W_per_m2],
      ] as const;
    }),
  );
});

test('the beam crosses as much air as Kasten and Young tell', () => {
  const known = cases<{ zenith_deg: number }, { airmass: number }>(
    'clear-sky',
    'relative air mass',
  ).map((c) => [relativeAirMass(c.inputs.zenith_deg), c.expected.airmass] as const);
  hold('air mass, printed to 0.001', 3, known.slice(0, 3));
  hold('air mass', 8, known.slice(3));
});

test('less air lies above a high place', () => {
  const known = cases<
    { airmass_relative: number; pressure_Pa: number },
    { airmass_absolute: number }
  >('clear-sky', 'absolute air mass');
  hold(
    'air mass, printed to 0.001',
    4,
    known.map(({ inputs, expected }) => [
      absoluteAirMass(inputs.airmass_relative, inputs.pressure_Pa / 100),
      expected.airmass_absolute,
    ]),
  );
});

test('light outside the atmosphere follows the distance of the sun', () => {
  interface Expected {
    dni_extra_W_per_m2: number;
    with_solar_constant_1361_W_per_m2?: number;
    with_solar_constant_1367_W_per_m2?: number;
  }
  const known = cases<{ day_of_year: number; solar_constant_W_per_m2: number }, Expected>(
    'clear-sky',
    'extraterrestrial',
  );
  const series = known.filter((c) => c.expected.with_solar_constant_1361_W_per_m2 !== undefined);
  hold(
    'extraterrestrial',
    57,
    series.flatMap(({ inputs: { day_of_year: day, solar_constant_W_per_m2 }, expected }) => [
      [extraterrestrial(day, solar_constant_W_per_m2), expected.dni_extra_W_per_m2],
      [extraterrestrial(day), expected.with_solar_constant_1361_W_per_m2!],
      [extraterrestrial(day, 1367), expected.with_solar_constant_1367_W_per_m2!],
    ]),
  );
  hold(
    'extraterrestrial of the workbook',
    2,
    known
      .filter((c) => !series.includes(c))
      .map(({ inputs, expected }) => [
        extraterrestrial(inputs.day_of_year, inputs.solar_constant_W_per_m2),
        expected.dni_extra_W_per_m2,
      ]),
  );
});

test('the day of the year is counted from 1 January in UTC', () => {
  const known = cases<{ date: string }, { dni_extra_W_per_m2: number }>(
    'clear-sky',
    'extraterrestrial by date',
  );
  hold(
    'extraterrestrial',
    1,
    known.map(({ inputs, expected }) => [
      extraterrestrial(dayOfYear(Date.parse(inputs.date)), 1366.1),
      expected.dni_extra_W_per_m2,
    ]),
  );
  expect(dayOfYear(Date.UTC(2026, 0, 1))).toBe(1);
  expect(dayOfYear(Date.UTC(2026, 11, 31, 23, 59, 59, 999))).toBe(365);
  expect(dayOfYear(Date.UTC(2028, 11, 31))).toBe(366);
});

test('a measured global irradiance is parted as Erbs, Klein and Duffie do', () => {
  interface Inputs {
    ghi_W_per_m2: number;
    zenith_deg: number;
    day_of_year: number;
    solar_constant_W_per_m2: number;
  }
  const known = cases<Inputs, { dni_W_per_m2: number; dhi_W_per_m2: number; kt: number }>(
    'clear-sky',
    'Erbs',
  );
  const ours = known.map(({ inputs: { ghi_W_per_m2: ghi, zenith_deg: zenith, ...inputs } }) => {
    const outside = extraterrestrial(inputs.day_of_year, inputs.solar_constant_W_per_m2);
    return { ...splitGlobal(ghi, zenith, outside), kt: clearnessIndex(ghi, zenith, outside) };
  });
  hold(
    'Erbs irradiance',
    10,
    known.flatMap(({ expected }, i) => [
      [ours[i]!.dni, expected.dni_W_per_m2],
      [ours[i]!.dhi, expected.dhi_W_per_m2],
    ]),
  );
  hold(
    'clearness index',
    5,
    known.map(({ expected }, i) => [ours[i]!.kt, expected.kt]),
  );
  const fractions = cases<{ kt: number }, { diffuse_fraction: number }>(
    'clear-sky',
    'Erbs diffuse fraction',
  );
  hold(
    'Erbs diffuse fraction',
    10,
    fractions.map((c) => [diffuseFraction(c.inputs.kt), c.expected.diffuse_fraction]),
  );
});

const zenith = evenly(0, 180);
const day = fc.integer({ min: 1, max: 366 });
const turbidity = evenly(1, 8);
const altitude = evenly(-450, 4000);

test('beam and diffuse light make up the global, none is negative, and night is dark', () => {
  fc.assert(
    fc.property(zenith, day, altitude, turbidity, (z, n, h, tl) => {
      const { ghi, dni, dhi } = clearSky(z, n, h, tl);
      expect(Math.min(ghi, dni, dhi)).toBeGreaterThanOrEqual(0);
      expect(dni * Math.max(0, Math.cos((z * Math.PI) / 180)) + dhi).toBeCloseTo(ghi, 9);
      expect(dni).toBeLessThanOrEqual(extraterrestrial(n));
      if (z >= 90) expect(ghi).toBe(0);
    }),
  );
});

test('haze dims the beam and altitude brightens it', () => {
  fc.assert(
    fc.property(evenly(0, 85), day, evenly(0, 2500), evenly(2, 7), (z, n, h, tl) => {
      expect(clearSky(z, n, h, tl + 0.5).dni).toBeLessThan(clearSky(z, n, h, tl).dni);
      // its fit lets the beam of the clearest air sink by some millionths with altitude
      expect(clearSky(z, n, h + 200, tl).dni).toBeGreaterThan(0.9999 * clearSky(z, n, h, tl).dni);
    }),
  );
});

test('a place below the sea is taken for one beside it', () => {
  expect(clearSky(30, 80, -420)).toEqual(clearSky(30, 80, 0));
});

test('the two clear-sky models agree within 10 % while the sun stands above 25 degrees', () => {
  let largest = 0;
  for (let z = 0; z <= 65; z += 5) {
    for (let n = 1; n <= 365; n += 14) {
      for (const h of [0, 250, 500]) {
        largest = Math.max(largest, Math.abs(clearSky(z, n, h).ghi / haurwitz(z) - 1));
      }
    }
  }
  console.info(`clear-sky models apart by at most ${(100 * largest).toFixed(1)} %`);
  expect(largest).toBeLessThan(0.1);
});

test('one unit of turbidity costs 4 % of the global and 10 % of the beam light', () => {
  const [clear, hazy] = [clearSky(30, 80, 40, 3), clearSky(30, 80, 40, 4)];
  expect(1 - hazy.ghi / clear.ghi).toBeCloseTo(0.04, 2);
  expect(1 - hazy.dni / clear.dni).toBeCloseTo(0.1, 2);
});

test('parting keeps the global light, whatever was measured', () => {
  fc.assert(
    fc.property(zenith, day, evenly(-20, 1500), (z, n, measured) => {
      const { ghi, dni, dhi } = splitGlobal(measured, z, extraterrestrial(n));
      expect(ghi).toBe(Math.max(0, measured));
      expect(Math.min(dni, dhi)).toBeGreaterThanOrEqual(0);
      expect(dni * Math.max(0, Math.cos((z * Math.PI) / 180)) + dhi).toBeCloseTo(ghi, 9);
    }),
  );
});
