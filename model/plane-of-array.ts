import type { Irradiance } from './clear-sky.ts';

/**
 * Light on a tilted plane from what falls on the horizontal. Where the plane faces is all in the angle
 * of incidence (`incidenceDeg` of `sun.ts`), so that both hemispheres are the same case.
 */

const RADIANS = Math.PI / 180;

/** Share of light that grass, soil and paving send back; fresh snow 0.8, white gravel 0.4. */
export const ALBEDO = 0.2;

/** Below one degree of elevation the ratio of beam on the plane to beam on the ground is held. */
const LEAST_COSINE = 0.01745;

export interface PlaneIrradiance {
  beam: number; // W/m², as are all of them
  circumsolar: number; // diffuse light from around the sun, which falls in as the beam does
  isotropic: number; // diffuse light from the rest of the sky
  ground: number; // reflected
  total: number;
}

/** Diffuse light of an evenly bright sky that a plane sees [W/m²]. */
export const isotropicDiffuse = (dhi: number, tiltDeg: number): number =>
  (dhi * (1 + Math.cos(tiltDeg * RADIANS))) / 2;

/** Light that flat ground in front of a plane sends to it [W/m²]. */
export const groundReflected = (ghi: number, tiltDeg: number, albedo = ALBEDO): number =>
  (ghi * albedo * (1 - Math.cos(tiltDeg * RADIANS))) / 2;

/**
 * Light on a tilted plane.
 *
 * For a collector take beam and circumsolar together as its beam light, the other two as diffuse.
 *
 * @param sky  on the horizontal [W/m²]
 * @param extraterrestrialW  beam outside the atmosphere on that day [W/m²]
 * @param zenithDeg  apparent zenith angle of the sun
 * @param incidenceDeg  angle between the beam and the plane's normal, 0…180
 * @param tiltDeg  0 flat, 90 upright
 * @returns W/m², none below 0
 *
 * Accuracy: 3 to 5 % of hourly totals under a measured sky; the horizon is taken as free, so that
 * hills, houses and trees come off.
 * Source: Hay and Davies 1980. Checked by: test/physics/plane-of-array.test.ts.
 */
export function planeIrradiance(
  sky: Irradiance,
  extraterrestrialW: number,
  zenithDeg: number,
  incidenceDeg: number,
  tiltDeg: number,
  albedo = ALBEDO,
): PlaneIrradiance {
  const facing = Math.max(0, Math.cos(incidenceDeg * RADIANS));
  const beam = sky.dni * facing;
  const clear = Math.min(1, Math.max(0, sky.dni / extraterrestrialW)); // anisotropy index
  const overHorizontal = facing / Math.max(LEAST_COSINE, Math.cos(zenithDeg * RADIANS));
  const circumsolar = sky.dhi * clear * overHorizontal;
  const isotropic = isotropicDiffuse(sky.dhi * (1 - clear), tiltDeg);
  const ground = groundReflected(sky.ghi, tiltDeg, albedo);
  return { beam, circumsolar, isotropic, ground, total: beam + circumsolar + isotropic + ground };
}
