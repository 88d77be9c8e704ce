import { HOUR, MINUTE } from '../../model/readings.ts';
import { drift, unit } from './chance.ts';
import { demoTub } from './place.ts';

/**
 * The weather over the demonstration: sun, clouds and air. Written apart from the model's own sun, so
 * that the two can disagree.
 */

export interface Weather {
  airC: number;
  /** Irradiance in the collectors' plane [W/m²]. */
  planeWm2: number;
  /** Share of the sky without clouds, 0…1. */
  clearness: number;
}

const DAY = 24 * HOUR;
const rad = Math.PI / 180;
const { latitude, longitude } = demoTub.place;
const sinLatitude = Math.sin(latitude * rad);
const cosLatitude = Math.cos(latitude * rad);
const tilt = demoTub.collectors.tiltDeg * rad;
// A plane tilted towards the equator sees the sun as level ground nearer to the equator does.
const sinPlane = Math.sin(latitude * rad + tilt);
const cosPlane = Math.cos(latitude * rad + tilt);

const channels = { sky: 1, haze: 2, broad: 3, fine: 4, thick: 5, front: 6 } as const;

/**
 * Sine of the sun's elevation and cosine of its angle to the collectors' plane.
 *
 * Low-precision almanac: mean longitude with two terms of the equation of centre, no refraction.
 * Accuracy: 0.1° between 2000 and 2050.
 */
export function sunAt(t: number): { sinElevation: number; cosIncidence: number } {
  const days = (t - Date.UTC(2000, 0, 1, 12)) / DAY;
  const anomaly = (357.53 + 0.9856003 * days) * rad;
  const eclipticLongitude =
    (280.46 + 0.9856474 * days + 1.915 * Math.sin(anomaly) + 0.02 * Math.sin(2 * anomaly)) * rad;
  const sinLongitude = Math.sin(eclipticLongitude);
  const obliquity = 23.44 * rad;
  const sinDeclination = Math.sin(obliquity) * sinLongitude;
  const cosDeclination = Math.sqrt(1 - sinDeclination * sinDeclination);
  const ascension = Math.atan2(Math.cos(obliquity) * sinLongitude, Math.cos(eclipticLongitude));
  const hourAngle = (280.4606 + 360.9856474 * days + longitude) * rad - ascension;
  const towards = cosDeclination * Math.cos(hourAngle);
  return {
    sinElevation: sinLatitude * sinDeclination + cosLatitude * towards,
    cosIncidence: sinPlane * sinDeclination + cosPlane * towards,
  };
}

/** Of all days, the share that is clear, and the share that is clear or broken. */
const clearUpTo = 0.42;
const brokenUpTo = 0.82;

/** Number of the solar day: it turns over at solar midnight, where a change of sky is not seen. */
const solarTime = (t: number) => (t + (longitude / 15) * HOUR) / DAY;

/** Share of the sun's beam that the clouds let through, 0…1. */
export function beamShare(seed: number, t: number): number {
  const sky = unit(seed, channels.sky, Math.floor(solarTime(t)));
  const haze = 1 - 0.08 * drift(seed, channels.haze, t / (90 * MINUTE));
  if (sky < clearUpTo) return haze;
  if (sky > brokenUpTo) return 0.06 * drift(seed, channels.broad, t / (40 * MINUTE));
  const cloud =
    0.65 * drift(seed, channels.broad, t / (14 * MINUTE)) +
    0.35 * drift(seed, channels.fine, t / (4 * MINUTE));
  // Broken skies between nearly clear and nearly shut, with soft edges to each cloud.
  const cover = 0.35 + ((sky - clearUpTo) / (brokenUpTo - clearUpTo)) * 0.25;
  return haze * Math.min(1, Math.max(0, (cloud - cover) / 0.12 + 0.5));
}

/** How clear a whole day is, 0…1; drifts from noon to noon so that the air knows no midnight step. */
function dayClearness(seed: number, t: number): number {
  const noons = solarTime(t) - 0.5;
  const day = Math.floor(noons);
  const clear = (sky: number) => Math.min(1, Math.max(0, (0.9 - sky) / 0.5));
  const before = clear(unit(seed, channels.sky, day));
  return before + (clear(unit(seed, channels.sky, day + 1)) - before) * (noons - day);
}

/** Air [°C]: a mild coast, warmest at the end of January and at half past two by the sun. */
function airAt(seed: number, t: number, clearness: number): number {
  const solar = solarTime(t);
  const season =
    13.2 + 4.2 * Math.cos((2 * Math.PI * (t - Date.UTC(2000, 0, 28))) / (365.25 * DAY));
  const front = 3.6 * (drift(seed, channels.front, solar / 3) - 0.5);
  const swing = 2.2 + 2.2 * clearness;
  return season + front + swing * Math.cos(2 * Math.PI * (solar - 14.5 / 24));
}

/**
 * Irradiance under a clear sky [W/m²]: the beam square to the sun, and the sky's light on level ground.
 *
 * Beam from the air mass by Meinel's fit, 1361 · 0.7^(m^0.678); the sky gives a tenth of it.
 */
function clearSky(sinElevation: number): { beam: number; diffuse: number } {
  if (sinElevation <= 0) return { beam: 0, diffuse: 0 };
  const airMass = 1 / (sinElevation + 0.025 * Math.exp(-11 * sinElevation));
  const beam = 1361 * 0.7 ** (airMass ** 0.678);
  return { beam, diffuse: 0.1 * beam };
}

export function weatherAt(seed: number, t: number): Weather {
  const clearness = dayClearness(seed, t);
  const airC = airAt(seed, t, clearness);
  const { sinElevation, cosIncidence } = sunAt(t);
  if (sinElevation <= 0) return { airC, planeWm2: 0, clearness };
  const clear = clearSky(sinElevation);
  const share = beamShare(seed, t);
  const thin = 0.15 + 0.25 * drift(seed, channels.thick, t / (50 * MINUTE));
  const clearGround = clear.beam * sinElevation + clear.diffuse;
  const beam = clear.beam * share;
  const diffuse = clear.diffuse * share + thin * clearGround * (1 - share);
  const ground = beam * sinElevation + diffuse;
  const planeWm2 =
    beam * Math.max(0, cosIncidence) +
    (diffuse * (1 + Math.cos(tilt))) / 2 +
    (0.2 * ground * (1 - Math.cos(tilt))) / 2;
  return { airC, planeWm2, clearness };
}
