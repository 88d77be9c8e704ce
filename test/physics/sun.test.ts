import { Body, Equator, Horizon, MakeTime, Observer, SearchRiseSet } from 'astronomy-engine';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { dayBounds } from '../../model/civil-time.ts';
import { geocentricSun } from '../../model/earth-orbit.ts';
import {
  HORIZON_DEG,
  incidenceDeg,
  refractionDeg,
  sunPosition,
  sunTimes,
} from '../../model/sun.ts';
import { hold, type Sample } from './margins.ts';
import { cases } from './reference.ts';

const RADIANS = Math.PI / 180;
const HOUR = 3_600_000;

interface Place {
  lat_deg: number;
  lon_deg: number;
}

/** Differences of azimuth, as they are seen: near the zenith a degree of azimuth is next to nothing. */
function azimuthSample(ours: number, expected: number, elevationDeg: number): Sample {
  const apart = ours - expected;
  return [(apart - 360 * Math.round(apart / 360)) * Math.cos(elevationDeg * RADIANS), 0];
}

interface WorkedExample {
  apparent_zenith_deg: number;
  azimuth_deg: number;
  true_elevation_deg: number;
  apparent_elevation_deg: number;
  earth_heliocentric_longitude_deg: number;
  earth_radius_vector_au: number;
  geocentric_sun_apparent_longitude_deg: number;
  true_obliquity_deg: number;
  nutation_longitude_deg: number;
  nutation_obliquity_deg: number;
  incidence_angle_deg: number;
}
interface WorkedInputs extends Place {
  local_time: string;
  elevation_m: number;
  pressure_hPa: number;
  temperature_C: number;
  surface_slope_deg: number;
  surface_azimuth_from_north_deg: number;
}
const worked = cases<WorkedInputs, WorkedExample>('sun', 'worked example');

test('the steps of the published worked example are met on the way', () => {
  const { inputs, expected } = worked[0]!;
  const sun = geocentricSun(Date.parse(inputs.local_time));
  hold('step towards the sun', 5, [
    [sun.earthLongitudeDeg, expected.earth_heliocentric_longitude_deg],
    [sun.nutationLongitudeDeg, expected.nutation_longitude_deg],
    [sun.nutationObliquityDeg, expected.nutation_obliquity_deg],
    [sun.obliquityDeg, expected.true_obliquity_deg],
    [sun.longitudeDeg, expected.geocentric_sun_apparent_longitude_deg],
  ]);
  hold('distance of the sun', 1, [[sun.distanceAu, expected.earth_radius_vector_au]]);
});

test('the sun of the worked example stands where it was published, a day later too', () => {
  const days = worked.filter((c) => c.expected.apparent_zenith_deg !== undefined);
  const ours = days.map(({ inputs }) =>
    sunPosition(Date.parse(inputs.local_time), inputs.lat_deg, inputs.lon_deg, inputs.elevation_m),
  );
  hold(
    'sun position',
    8,
    days.flatMap(({ expected }, i) => [
      [ours[i]!.elevationDeg, expected.true_elevation_deg],
      [ours[i]!.apparentElevationDeg, expected.apparent_elevation_deg],
      [90 - ours[i]!.apparentElevationDeg, expected.apparent_zenith_deg],
      azimuthSample(ours[i]!.azimuthDeg, expected.azimuth_deg, expected.true_elevation_deg),
    ]),
  );
  hold(
    'refraction',
    2,
    days.map(({ inputs, expected }) => [
      refractionDeg(expected.true_elevation_deg, inputs.pressure_hPa, inputs.temperature_C),
      expected.apparent_elevation_deg - expected.true_elevation_deg,
    ]),
  );
});

test('rays meet a tilted plane at the published angle', () => {
  const [plane] = worked.filter((c) => c.expected.incidence_angle_deg !== undefined);
  const { inputs, expected } = plane!;
  const { elevation_m } = worked[0]!.inputs;
  const sun = sunPosition(
    Date.parse(inputs.local_time),
    inputs.lat_deg,
    inputs.lon_deg,
    elevation_m,
  );
  hold('sun position', 1, [
    [
      incidenceDeg(sun, inputs.surface_slope_deg, inputs.surface_azimuth_from_north_deg),
      expected.incidence_angle_deg,
    ],
  ]);
});

test('the sun stands where three libraries see it, from 78° north to 55° south', () => {
  const known = cases<
    Place & { utc: string; elevation_m: number },
    {
      true_elevation_deg: number;
      azimuth_deg: number;
      'apparent_elevation_deg_spa_refraction_1013.25hPa_12C'?: number;
    }
  >('sun', 'position');
  const ours = known.map(({ inputs }) =>
    sunPosition(Date.parse(inputs.utc), inputs.lat_deg, inputs.lon_deg, inputs.elevation_m),
  );
  hold(
    'sun position',
    68,
    known.flatMap(({ expected }, i) => [
      [ours[i]!.elevationDeg, expected.true_elevation_deg],
      azimuthSample(ours[i]!.azimuthDeg, expected.azimuth_deg, expected.true_elevation_deg),
    ]),
  );
  hold(
    'sun position',
    31,
    known.flatMap(({ expected }, i) => {
      const apparent = expected['apparent_elevation_deg_spa_refraction_1013.25hPa_12C'];
      return apparent === undefined ? [] : [[ours[i]!.apparentElevationDeg, apparent] as const];
    }),
  );
});

test('five days of zenith angles over Golden, Colorado, are met', () => {
  const known = cases<{ utc: string }, { zenith_deg: number }>('sun-golden-2019', 'zenith');
  hold(
    'zenith over Golden',
    103,
    known.map(({ inputs, expected }) => [
      90 - sunPosition(Date.parse(inputs.utc), 39.742, -105.18).elevationDeg,
      expected.zenith_deg,
    ]),
  );
});

/** Times spread over 150 years and places over the globe, the same in every run. */
const spread = Array.from({ length: 3000 }, (_, i) => ({
  t: Date.UTC(1950, 0, 1) + i * 18.2513 * 24 * HOUR,
  latitude: -85 + ((i * 37) % 171),
  longitude: -180 + ((i * 53) % 360),
}));

test('from 1950 to 2100 an independent ephemeris sees the sun in the same place', () => {
  hold(
    'sun position to 2100',
    6000,
    spread.flatMap(({ t, latitude, longitude }) => {
      const observer = new Observer(latitude, longitude, 0);
      const time = MakeTime(new Date(t));
      const { ra, dec } = Equator(Body.Sun, time, observer, true, true);
      const { altitude, azimuth } = Horizon(time, observer, ra, dec);
      const ours = sunPosition(t, latitude, longitude);
      return [
        [ours.elevationDeg, altitude] as const,
        azimuthSample(ours.azimuthDeg, azimuth, altitude),
      ];
    }),
  );
});

interface DayOfSun extends Place {
  local_date: string;
  time_zone: string;
}
interface EventTimes {
  sunrise_local: string | null;
  sunset_local: string | null;
  solar_noon_local_approx: string;
  noon_true_elevation_deg: number;
}
const days = cases<DayOfSun, EventTimes>('sun', 'events').map(({ inputs, expected }) => {
  const { from, to } = dayBounds(inputs.local_date, inputs.time_zone);
  const { lat_deg, lon_deg } = inputs;
  return { inputs, expected, from, ours: sunTimes(from, to, lat_deg, lon_deg) };
});
const seconds = (t: number | null, from: number) => t && (t - from) / 1000;
/** `2026-03-28T07:05:18+0100`, whose offset lacks the colon of ISO 8601's extended form. */
const parse = (local: string) => Date.parse(local.replace(/(\d\d)$/, ':$1'));

test('the sun rises and sets when it should, also on days of 23 and 25 hours', () => {
  const samples = (far: boolean) =>
    days
      .filter(({ inputs }) => Math.abs(inputs.lat_deg) > 60 === far)
      .flatMap(({ expected, from, ours }) =>
        (['sunrise', 'sunset'] as const).flatMap((event): Sample[] => {
          const local = expected[`${event}_local`];
          if (local === null) expect(ours[event]).toBeNull();
          return local === null ? [] : [[seconds(ours[event], from), seconds(parse(local), from)!]];
        }),
      );
  hold('sunrise and sunset', 36, samples(false));
  hold('sunrise and sunset in far latitudes', 8, samples(true));
});

test('where the sun stays up or down all day there is neither sunrise nor sunset', () => {
  const without = days.filter(({ ours }) => ours.sunrise === null && ours.sunset === null);
  expect(without.map(({ inputs }) => inputs.local_date)).toEqual([
    '2026-06-21', // midnight sun
    '2026-12-21', // polar night
    '2026-07-01',
  ]);
  expect(without.every(({ ours }) => ours.noon !== null)).toBe(true);
});

test('noon is when and as high as it should be', () => {
  hold(
    'highest point',
    25,
    days.map(({ expected, from, ours }) => [
      seconds(ours.noon, from),
      seconds(parse(expected.solar_noon_local_approx), from)!,
    ]),
  );
  hold(
    'height of noon',
    25,
    days.map(({ inputs, expected, ours }) => [
      sunPosition(ours.noon!, inputs.lat_deg, inputs.lon_deg).elevationDeg,
      expected.noon_true_elevation_deg,
    ]),
  );
});

const published = cases<
  Place & { utc_offset_h: number; local_date: string; event: 'sunrise' | 'sunset' | 'transit' },
  { published_local: string; geometric_local?: string }
>('sun', 'published events').map(({ inputs, expected }) => {
  const from = Date.parse(inputs.local_date) - inputs.utc_offset_h * HOUR;
  const times = sunTimes(from, from + 24 * HOUR, inputs.lat_deg, inputs.lon_deg);
  const at = (local: string) => Date.parse(`1970-01-01T${local}Z`) / 1000;
  return { inputs, from, times, at, ...expected };
});

test('published sunrises, sunsets and noons are met to the second or two that they are worth', () => {
  const events = published.filter(({ inputs }) => inputs.event !== 'transit');
  hold(
    'sunrise and sunset',
    10,
    events.map(({ inputs, from, times, at, geometric_local }) => [
      seconds(times[inputs.event as 'sunrise' | 'sunset'], from),
      at(geometric_local!),
    ]),
  );
  const transits = published.filter(({ inputs }) => inputs.event === 'transit');
  hold(
    'noon',
    5,
    transits.map(({ from, times, at, published_local }) => [
      seconds(times.noon, from),
      at(published_local),
    ]),
  );
});

test('an independent ephemeris has the sun rise within seconds of ours', () => {
  const samples: Sample[] = spread
    .filter(({ latitude }) => Math.abs(latitude) < 55)
    .filter((_, i) => i % 10 === 0)
    .map(({ t, latitude, longitude }) => {
      const { noon } = sunTimes(t, t + 24 * HOUR, latitude, longitude);
      const { sunrise } = sunTimes(noon! - 12 * HOUR, noon! + 12 * HOUR, latitude, longitude);
      const observer = new Observer(latitude, longitude, 0);
      const found = SearchRiseSet(Body.Sun, observer, 1, new Date(noon! - 12 * HOUR), 1)!;
      return [seconds(sunrise, noon!), seconds(found.date.getTime(), noon!)!];
    });
  hold('sunrise against an ephemeris', 192, samples);
});

const place = {
  t: fc.integer({ min: Date.UTC(1950, 0, 1), max: Date.UTC(2101, 0, 1) }),
  latitude: fc.double({ min: -90, max: 90, noNaN: true }),
  longitude: fc.double({ min: -180, max: 180, noNaN: true }),
};

test('everywhere and always the sun has a place in the sky, never lower than it is', () => {
  fc.assert(
    fc.property(place.t, place.latitude, place.longitude, (t, latitude, longitude) => {
      const sun = sunPosition(t, latitude, longitude, 800);
      expect(Math.abs(sun.elevationDeg)).toBeLessThanOrEqual(90.003);
      expect(sun.azimuthDeg).toBeGreaterThanOrEqual(0);
      expect(sun.azimuthDeg).toBeLessThan(360);
      expect(Math.abs(sun.declinationDeg)).toBeLessThan(23.46);
      expect(sun.apparentElevationDeg - sun.elevationDeg).toBeGreaterThanOrEqual(-1e-4);
      expect(sun.apparentElevationDeg - sun.elevationDeg).toBeLessThan(0.65);
    }),
  );
});

test('the events of a day lie in it, in order, with the rim on the horizon', () => {
  const temperate = fc.double({ min: -60, max: 60, noNaN: true });
  fc.assert(
    fc.property(place.t, temperate, place.longitude, (t, latitude, longitude) => {
      const solarNoon = sunTimes(t, t + 24 * HOUR, latitude, longitude).noon!;
      const [from, to] = [solarNoon - 12 * HOUR, solarNoon + 12 * HOUR];
      const { sunrise, noon, sunset } = sunTimes(from, to, latitude, longitude);
      expect(from < sunrise! && sunrise! < noon! && noon! < sunset! && sunset! < to).toBe(true);
      for (const event of [sunrise!, sunset!]) {
        const { elevationDeg } = sunPosition(event, latitude, longitude);
        expect(Math.abs(elevationDeg - HORIZON_DEG)).toBeLessThan(1e-4);
      }
      const { azimuthDeg } = sunPosition(noon!, latitude, longitude);
      const fromMeridian = Math.abs(Math.sin(azimuthDeg * RADIANS));
      expect(fromMeridian).toBeLessThan(Math.abs(latitude) < 30 ? 1 : 1e-4);
    }),
  );
});

test('a horizontal plane meets the rays at the zenith angle, whichever way it faces', () => {
  const angle = fc.double({ min: 0, max: 360, noNaN: true });
  const elevation = fc.double({ min: -90, max: 90, noNaN: true });
  fc.assert(
    fc.property(elevation, angle, angle, (apparentElevationDeg, azimuthDeg, facing) => {
      const sun = { apparentElevationDeg, azimuthDeg };
      expect(incidenceDeg(sun, 0, facing)).toBeCloseTo(90 - apparentElevationDeg, 5);
      expect(incidenceDeg(sun, 90 - Math.max(0, apparentElevationDeg), azimuthDeg)).toBeCloseTo(
        Math.max(0, -apparentElevationDeg),
        5,
      );
    }),
  );
});
