/** The simulated water: one specific heat, so that the simulator's own balance can close. */

/** Specific heat of water between 20 and 60 °C, within 0.1 % [J/(kg·K)]. */
export const waterHeat = 4180;

/** Density of water [kg/l], 5…60 °C within 0.05 %: a parabola through its maximum at 4 °C. */
export function density(tempC: number): number {
  return 1 - (7.5e-6 - 3.6e-8 * tempC) * (tempC - 4) ** 2;
}
