import { standardPressureHPa } from './atmosphere.ts';
import { type GeocentricSun, geocentricSun, turn } from './earth-orbit.ts';

const RADIANS = Math.PI / 180;
const HOUR = 3_600_000; // ms
/** The sun's centre when its upper rim meets the horizon: 34′ of refraction, 16′ of half-diameter. */
export const HORIZON_DEG = -0.8333;
/** Air temperature for refraction; 10 K more bend the light 3.5 % less. [°C] */
const AIR_C = 12;

export interface SunPosition {
  /** Height of the sun's centre above the horizon, without refraction; negative by night. */
  elevationDeg: number;
  /** The same as it is seen, raised by refraction. */
  apparentElevationDeg: number;
  /** Clockwise from north, 0…360. */
  azimuthDeg: number;
  declinationDeg: number;
}

/**
 * Where the sun stands in the sky.
 *
 * @param t  ms since 1970-01-01 UTC, years 1950…2100
 * @param latitude   −90…90 [°], south negative
 * @param longitude  −180…180 [°], west negative
 * @param elevationM  height above sea level [m]; it thins the air that refracts, no more
 *
 * Accuracy: within 0.001° of full algorithms up to 2070, 0.002° up to 2100; up to 0.004° may come on
 * top because UTC may be 0.9 s off the earth's turn. Refraction is that of the standard atmosphere:
 * near the horizon real air bends light by some hundredths of a degree more or less.
 * Cost: about 2 µs.
 * Source: NREL/TP-560-34302 (Reda & Andreas 2008); what is left out stands in earth-orbit.ts.
 * Checked by: test/physics/sun.test.ts.
 */
export function sunPosition(
  t: number,
  latitude: number,
  longitude: number,
  elevationM = 0,
): SunPosition {
  const sun = geocentricSun(t);
  const phi = latitude * RADIANS;
  const delta = sun.declinationDeg * RADIANS;
  const H = hourAngleDeg(sun, longitude) * RADIANS;
  const sine = Math.sin(phi) * Math.sin(delta) + Math.cos(phi) * Math.cos(delta) * Math.cos(H);
  const geocentric = Math.asin(Math.max(-1, Math.min(1, sine)));
  const parallaxDeg = (8.794 / 3600 / sun.distanceAu) * Math.cos(geocentric);
  const elevationDeg = geocentric / RADIANS - parallaxDeg;
  const azimuth = Math.atan2(
    Math.sin(H),
    Math.cos(H) * Math.sin(phi) - Math.tan(delta) * Math.cos(phi),
  );
  return {
    elevationDeg,
    apparentElevationDeg:
      elevationDeg + refractionDeg(elevationDeg, standardPressureHPa(elevationM), AIR_C),
    azimuthDeg: turn(azimuth / RADIANS + 180),
    declinationDeg: sun.declinationDeg,
  };
}

/** How far the air raises the sun [°], 0 once its rim is below the horizon (NREL/TP-560-34302, Eq. 42). */
export function refractionDeg(elevationDeg: number, pressureHPa: number, airC: number): number {
  if (elevationDeg < HORIZON_DEG) return 0;
  const bent = Math.tan((elevationDeg + 10.3 / (elevationDeg + 5.11)) * RADIANS);
  return ((pressureHPa / 1010) * (283 / (273 + airC)) * 1.02) / 60 / bent;
}

export interface SunTimes {
  /** The upper rim comes up; null where it does not that day. [ms since 1970-01-01 UTC] */
  sunrise: number | null;
  /** The sun is in the meridian; null only where the clock has next to nothing to do with the sun. */
  noon: number | null;
  /** The upper rim goes down; null where it does not that day. */
  sunset: number | null;
}

/**
 * Sunrise, noon and sunset within a local day, over a level horizon.
 *
 * Of two sunrises the one before noon is told, of two sunsets the one after; in far latitudes sunset
 * may come first, soon after midnight.
 *
 * Accuracy: within 2 s of full algorithms below 60° of latitude, 3 s beyond; mountains and weather move what is seen by minutes.
 */
export function sunTimes(
  dayFrom: number,
  dayTo: number,
  latitude: number,
  longitude: number,
): SunTimes {
  const above = (t: number) => sunPosition(t, latitude, longitude).elevationDeg - HORIZON_DEG;
  const noon = transit(dayFrom, longitude, 0);
  // From one meridian passage to the next the sun only climbs or only sinks.
  const turns = [transit(dayFrom, longitude, 180), noon]
    .flatMap((first) => [first, first + 24 * HOUR])
    .filter((at) => at > dayFrom && at < dayTo);
  const marks = [dayFrom, ...turns.sort((a, b) => a - b), dayTo];
  const rises: number[] = [];
  const sets: number[] = [];
  for (let i = 1; i < marks.length; i++) {
    const [from, to] = [marks[i - 1]!, marks[i]!];
    const [first, last] = [above(from), above(to)];
    if (first < 0 && last >= 0) rises.push(crossing(above, from, to));
    if (first >= 0 && last < 0) sets.push(crossing(above, to, from));
  }
  return {
    sunrise: rises.findLast((at) => at < noon) ?? rises[0] ?? null,
    noon: noon < dayTo ? noon : null,
    sunset: sets.find((at) => at > noon) ?? sets.at(-1) ?? null,
  };
}

/** The first instant from `after` on at which the hour angle is `deg`: 0 noon, 180 midnight. */
function transit(after: number, longitude: number, deg: number): number {
  const behindDeg = (at: number) => deg - hourAngleDeg(geocentricSun(at), longitude);
  let at = after + (turn(behindDeg(after)) / 15) * HOUR;
  for (let round = 0; round < 2; round++) at += (halfTurn(behindDeg(at)) / 15) * HOUR;
  return Math.round(at < after ? at + 24 * HOUR : at);
}

/** Where a function that is negative at `below` and not at `above` crosses zero, to 10 ms. */
function crossing(value: (t: number) => number, below: number, above: number): number {
  let [low, high] = [below, above];
  while (Math.abs(high - low) > 10) {
    const middle = (low + high) / 2;
    if (value(middle) < 0) low = middle;
    else high = middle;
  }
  return Math.round((low + high) / 2);
}

/**
 * Angle between the sun's rays and the normal of a tilted plane, 0…180 [°]; above 90 the sun is
 * behind the plane.
 *
 * @param tiltDeg     from the horizontal, 0…90
 * @param azimuthDeg  where the plane faces, clockwise from north
 */
export function incidenceDeg(
  sun: Pick<SunPosition, 'apparentElevationDeg' | 'azimuthDeg'>,
  tiltDeg: number,
  azimuthDeg: number,
): number {
  const elevation = sun.apparentElevationDeg * RADIANS;
  const tilt = tiltDeg * RADIANS;
  const cosine =
    Math.sin(elevation) * Math.cos(tilt) +
    Math.cos(elevation) * Math.sin(tilt) * Math.cos((sun.azimuthDeg - azimuthDeg) * RADIANS);
  return Math.acos(Math.max(-1, Math.min(1, cosine))) / RADIANS;
}

/** How far the sun is past the meridian, westward, 0…360. */
const hourAngleDeg = (sun: GeocentricSun, longitude: number): number =>
  turn(sun.siderealDeg + longitude - sun.rightAscensionDeg);

/** An angle brought to −180…180. */
const halfTurn = (deg: number): number => deg - 360 * Math.round(deg / 360);
