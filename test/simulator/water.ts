/** Heat that a kilogram of liquid water takes a kelvin [kJ/(kg·K)]: its mean over 20…60 °C, within 0.1 % of all of it. */
export const WATER_KJ = 4.181;
/** Heat that turns a kilogram of water at 100 °C into steam [kJ/kg]. */
export const STEAM_KJ = 2257;

/** Density [kg/l], 0…100 °C (Tanaka's form with rounded constants, within 0.1 % up to 80 °C). */
export function kgPerL(waterC: number): number {
  const above4 = waterC - 3.9863;
  return 1 - ((waterC + 288.9414) * above4 * above4) / (508_929.2 * (waterC + 68.12963));
}

/** Pressure of saturated vapour over water [kPa] (Tetens). */
export const vapourKPa = (waterC: number): number =>
  0.6108 * Math.exp((17.27 * waterC) / (waterC + 237.3));
