import { vapourKPa } from './water.ts';
import type { Weather } from './weather.ts';

const LATENT_KJ_PER_KG = 2400;

/**
 * What an open tub gives off [W], and how fast its water goes [kg/s].
 *
 * Evaporation by the pool formula (89 + 78·v)·Δp of Smith, Löf and Jones with their factor 0.72 for
 * quiet water, half as much again with people in it; convection in Bowen's proportion to it; long-wave
 * radiation to the sky. A third of the wind reaches the water between walls and hedges.
 */
export function openWater(
  surfaceM2: number,
  waterC: number,
  { airC, skyC, windMs, humidity }: Weather,
  inUse: boolean,
): { lossW: number; awayKgPerS: number } {
  const missingKPa = Math.max(0.05, vapourKPa(waterC) - humidity * vapourKPa(airC));
  const windThere = windMs / 3;
  const evaporates = (89 + 78 * windThere) * 0.72 * (inUse ? 1.5 : 1) * missingKPa;
  const convects = (evaporates * 0.062 * (waterC - airC)) / missingKPa;
  const radiates = 0.95 * 5.67e-8 * ((waterC + 273.15) ** 4 - (skyC + 273.15) ** 4);
  return {
    lossW: surfaceM2 * (evaporates + convects + radiates),
    awayKgPerS: (surfaceM2 * evaporates) / 1000 / LATENT_KJ_PER_KG,
  };
}
