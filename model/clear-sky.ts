import { standardPressureHPa } from './atmosphere.ts';

/**
 * What a cloudless sky sends down, from the sun's height, the place's altitude and the haze.
 *
 * Two models stand here because they answer different questions. `clearSky` (Ineichen and Perez) is
 * the one that heat is expected from: it tells beam and diffuse light apart, without which nothing
 * falls on a tilted plane, and knows altitude and haze. `haurwitz` gives global light on the
 * horizontal from the sun's height alone: no altitude or haze entered by mistake can spoil it, so it
 * is the second opinion. At 0 to 500 m and a turbidity of 3 the two agree within 10 % while the sun
 * stands above 25 degrees. `splitGlobal` (Erbs) is for a measured global irradiance under any sky.
 *
 * The zenith angle is 0 overhead and 90 at the horizon, and is the apparent one: refraction included.
 */

const RADIANS = Math.PI / 180;
const DAY = 86_400_000; // ms

/** Total solar irradiance at the mean distance of the sun [W/m²]; Kopp and Lean 2011 give 1360.8 ± 0.5. */
export const SOLAR_CONSTANT = 1361;

/**
 * Linke turbidity where nothing is known of the place: how many clean, dry atmospheres dim the beam
 * as this one does. About 2 in clear cold or mountain air, 3 in the temperate countryside, 4 in humid
 * summers and towns, 6 and more in dust or smoke. At a zenith of 30 degrees near sea level one unit
 * more takes 4 % off the global and 10 % off the beam irradiance.
 */
export const LINKE_TURBIDITY = 3;

export interface Irradiance {
  ghi: number; // global on the horizontal, W/m²
  dni: number; // beam on a plane that faces the sun, W/m²
  dhi: number; // diffuse on the horizontal, W/m²
}

/** Day of the year in UTC, 1 on 1 January. */
export function dayOfYear(t: number): number {
  return Math.floor((t - Date.UTC(new Date(t).getUTCFullYear(), 0, 1)) / DAY) + 1;
}

/**
 * Irradiance outside the atmosphere on a plane that faces the sun.
 *
 * @param day  day of the year, 1…366
 * @returns W/m², 1316…1409 over the year
 *
 * Accuracy: within 0.1 % of the true distance of the sun. Source: Spencer 1971.
 */
export function extraterrestrial(day: number, solarConstant = SOLAR_CONSTANT): number {
  const b = (2 * Math.PI * (day - 1)) / 365;
  return (
    solarConstant *
    (1.00011 +
      0.034221 * Math.cos(b) +
      0.00128 * Math.sin(b) +
      0.000719 * Math.cos(2 * b) +
      0.000077 * Math.sin(2 * b))
  );
}

/**
 * Air that the beam crosses, in multiples of the way straight down: 1 overhead, 38 at the horizon.
 *
 * @returns null for a sun below the horizon
 *
 * Accuracy: 0.5 % of the standard atmosphere's at worst. Source: Kasten and Young 1989.
 */
export function relativeAirMass(zenithDeg: number): number | null {
  if (!(zenithDeg <= 90)) return null;
  return 1 / (Math.cos(zenithDeg * RADIANS) + 0.50572 * (96.07995 - zenithDeg) ** -1.6364);
}

/** Air mass at the place's own pressure [hPa] from the one at sea level. */
export function absoluteAirMass(relative: number, pressureHPa: number): number {
  return (relative * pressureHPa) / 1013.25;
}

/**
 * Global horizontal irradiance of a clear sky from the sun's height alone.
 *
 * @returns W/m², 0 for a sun below the horizon
 *
 * Accuracy: some 5 to 10 % by haze and altitude. Source: Haurwitz 1945 and 1946, with the exponent
 * 0.059; some papers print 0.057, which gives 0.2 % more overhead and 2.3 % more at 5 degrees.
 */
export function haurwitz(zenithDeg: number): number {
  const cosine = Math.cos(zenithDeg * RADIANS);
  return zenithDeg < 90 ? 1098 * cosine * Math.exp(-0.059 / cosine) : 0;
}

/**
 * Clear-sky irradiance by haze and altitude, for an air mass that is known already.
 *
 * @param airMass  absolute, that is at the place's pressure
 * @param enhanced  adds the correction of Perez for a low sun: for global and diffuse light only
 * @returns W/m²; all 0 for a sun below the horizon
 *
 * Valid for: altitudes of 0…3000 m, Linke turbidities of 1…8. Source: Ineichen and Perez 2002.
 */
export function ineichenPerez(
  zenithDeg: number,
  airMass: number,
  linkeTurbidity: number,
  altitudeM: number,
  extraterrestrialW: number,
  enhanced = false,
): Irradiance {
  const cosine = Math.cos(zenithDeg * RADIANS);
  if (!(zenithDeg < 90) || cosine <= 0) return { ghi: 0, dni: 0, dhi: 0 };
  const fh1 = Math.exp(-altitudeM / 8000);
  const fh2 = Math.exp(-altitudeM / 1250);
  const cg1 = 5.09e-5 * altitudeM + 0.868;
  const cg2 = 3.92e-5 * altitudeM + 0.0387;
  const haze = linkeTurbidity - 1;
  let dimmed = Math.exp(-cg2 * airMass * (fh1 + fh2 * haze));
  if (enhanced) dimmed *= Math.exp(0.01 * airMass ** 1.8);
  const ghi = cg1 * extraterrestrialW * cosine * dimmed;

  const beam = extraterrestrialW * (0.664 + 0.163 / fh1) * Math.exp(-0.09 * airMass * haze);
  const share = 1 - (0.1 - 0.2 * Math.exp(-linkeTurbidity)) / (0.1 + 0.882 / fh1);
  const dni = Math.min(beam, (ghi * share) / cosine);
  return { ghi, dni, dhi: ghi - dni * cosine };
}

/**
 * Clear-sky irradiance at a place.
 *
 * @param zenithDeg  apparent zenith angle of the sun
 * @param day  day of the year, 1…366
 * @param altitudeM  m above the sea; one below it counts as 0
 * @returns W/m²; all 0 for a sun below the horizon
 *
 * Accuracy: 5 % of global and 10 % of beam irradiance where the turbidity is right; see
 * `LINKE_TURBIDITY` for what a wrong one costs.
 */
export function clearSky(
  zenithDeg: number,
  day: number,
  altitudeM = 0,
  linkeTurbidity = LINKE_TURBIDITY,
): Irradiance {
  const relative = relativeAirMass(zenithDeg);
  if (relative === null) return { ghi: 0, dni: 0, dhi: 0 };
  const height = Math.max(0, altitudeM);
  const airMass = absoluteAirMass(relative, standardPressureHPa(height));
  return ineichenPerez(zenithDeg, airMass, linkeTurbidity, height, extraterrestrial(day));
}

/** Below this the clearness index and the beam would be divided by next to nothing. */
const LEAST_COSINE = 0.065;
const GRAZING_DEG = 87;

/** Share of the global irradiance outside the atmosphere that reaches the ground: 0…1. */
export function clearnessIndex(ghi: number, zenithDeg: number, extraterrestrialW: number): number {
  const cosine = Math.max(Math.cos(zenithDeg * RADIANS), LEAST_COSINE);
  return Math.min(1, Math.max(0, ghi / (extraterrestrialW * cosine)));
}

/**
 * Share of diffuse light in global light under an average sky of that clearness.
 *
 * @param kt  clearness index, 0…1
 * @returns 0.165 under the clearest sky … 1 under the darkest
 *
 * Accuracy: hours scatter by ±0.15 about it, broken cloud worst. Source: Erbs, Klein and Duffie 1982.
 */
export function diffuseFraction(kt: number): number {
  if (kt <= 0.22) return 1 - 0.09 * kt;
  if (kt > 0.8) return 0.165;
  return 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)));
}

/** Parts a measured global horizontal irradiance [W/m²] into beam and diffuse light (Erbs). */
export function splitGlobal(ghi: number, zenithDeg: number, extraterrestrialW: number): Irradiance {
  const global = Math.max(0, ghi);
  if (!(zenithDeg <= GRAZING_DEG)) return { ghi: global, dni: 0, dhi: global };
  const dhi = global * diffuseFraction(clearnessIndex(global, zenithDeg, extraterrestrialW));
  return { ghi: global, dni: (global - dhi) / Math.cos(zenithDeg * RADIANS), dhi };
}
