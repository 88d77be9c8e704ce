import { saturationPressureMPa, waterProperties } from './water.ts';

/**
 * What the tub holds and what it loses. Under its cover it loses UA·(tub − air), with UA learned from
 * its nights (`cool-down.ts`). With the cover off it evaporates, warms the air and radiates to the
 * sky, 2 to 4 kW from 3 m² of water, and that is known no better than by a third.
 */

const KELVIN = 273.15; // 0 °C [K]
const STEFAN_BOLTZMANN = 5.670374419e-8; // W/(m²·K⁴), CODATA 2018
const OPEN_AIR_MPA = 0.1;

/**
 * Heat that a tub's water takes up per kelvin.
 *
 * @param litres  water in it
 * @param tubC  about which temperature; a litre's own changes by 0.7 % from 20 to 40 °C
 * @returns Wh/K, e.g. 1153 for 1000 l at 38 °C
 *
 * Source: IAPWS-IF97 at 0.1 MPa. Checked by: test/physics/tub-losses.test.ts.
 */
export function tubCapacityWhPerK(litres: number, tubC = 38): number {
  const { volume, heatCapacity } = waterProperties(Math.min(Math.max(tubC, 0), 90), OPEN_AIR_MPA)!;
  return (litres * heatCapacity) / (volume * 3600);
}

/**
 * Heat that warms a volume of water, measured at the temperature that it starts from.
 *
 * @returns kWh, negative for cooling; null where the water would freeze or boil
 *
 * Source: IAPWS-IF97, m = ρ(from)·V, Q = m·(h(to) − h(from)).
 */
export function heatToWarmKwh(
  litres: number,
  fromC: number,
  toC: number,
  pressureMPa = OPEN_AIR_MPA,
): number | null {
  const from = waterProperties(fromC, pressureMPa);
  const to = waterProperties(toC, pressureMPa);
  if (!from || !to) return null;
  return ((litres / 1000 / from.volume) * (to.enthalpy - from.enthalpy)) / 3600;
}

/** Hours in which a difference to the air falls to 37 %: 116 h for 1000 l that lose 10 W/K. */
export const timeConstantHours = (lossWPerK: number, capacityWhPerK: number): number =>
  capacityWhPerK / lossWPerK;

/**
 * Temperature of a tub left to itself under its cover. What it lost is
 * `capacityWhPerK · (startC − result)` in Wh.
 *
 * Source: Newton cooling, closed form. Checked by: test/physics/tub-losses.test.ts.
 */
export function cooledC(
  startC: number,
  airC: number,
  lossWPerK: number,
  capacityWhPerK: number,
  hours: number,
): number {
  return airC + (startC - airC) * Math.exp((-hours * lossWPerK) / capacityWhPerK);
}

/**
 * How long a steady heater takes to bring a covered tub to a temperature.
 *
 * @param heaterW  heat that reaches the water
 * @returns h; 0 for a tub that is there already, null where the losses never let it get there
 *
 * Source: closed form with equilibrium at air + heater/UA. Checked by: test/physics/tub-losses.test.ts.
 */
export function heatingHours(
  heaterW: number,
  startC: number,
  targetC: number,
  airC: number,
  lossWPerK: number,
  capacityWhPerK: number,
): number | null {
  if (startC >= targetC) return 0;
  const surplusAtTargetW = heaterW - lossWPerK * (targetC - airC);
  if (!(surplusAtTargetW > 0)) return null;
  if (lossWPerK === 0) return (capacityWhPerK * (targetC - startC)) / heaterW;
  const ratio = (lossWPerK * (targetC - startC)) / surplusAtTargetW;
  return (capacityWhPerK / lossWPerK) * Math.log1p(ratio);
}

/**
 * Pressure of water vapour in saturated air.
 *
 * @param tC  −45…100 °C; over water below 0 °C too, as humidity sensors have it
 * @returns kPa, e.g. 6.63 at 38 °C
 *
 * Accuracy: from 0 °C up 0.01 %, below it 0.4 %. Source: IAPWS-IF97 Eq. 30; below 0 °C the Magnus
 * form with the coefficients of WMO-No. 8.
 */
export function vapourPressureKPa(tC: number): number {
  return tC >= 0 ? saturationPressureMPa(tC)! * 1000 : magnusKPa(tC);
}

const MAGNUS_B = 17.62;
const MAGNUS_C = 243.12; // °C

/** Magnus form of the saturation pressure over water [kPa], −45…60 °C; within 0.4 %. */
export const magnusKPa = (tC: number): number =>
  0.6112 * Math.exp((MAGNUS_B * tC) / (MAGNUS_C + tC));

/**
 * Temperature at which air of a humidity would be saturated.
 *
 * @param humidity  relative, 0…1
 * @returns °C; null for air without any vapour
 *
 * Accuracy: 0.05 K. Source: inverse of the Magnus form, over water.
 */
export function dewPointC(airC: number, humidity: number): number | null {
  if (!(humidity > 0)) return null;
  const x = Math.log(humidity) + (MAGNUS_B * airC) / (MAGNUS_C + airC);
  return (MAGNUS_C * x) / (MAGNUS_B - x);
}

/** Heat that evaporates a kilogram of water [kJ/kg], 0…50 °C: a line within 0.4 of IAPWS-95. */
export const latentHeatKJPerKg = (tC: number): number => 2500.9 - 2.372 * tC;

/** Measured shares of the evaporation formula: water that nobody touches, and a pool in use. */
export const UNDISTURBED = 0.74;
export const IN_USE = 1.26;

export interface OpenWater {
  areaM2: number;
  waterC: number;
  airC: number;
  humidity: number; // relative, 0…1
  windMPerS: number; // over the water; behind a hedge a fifth of the forecast's
  /** Share of the formula: `UNDISTURBED` or `IN_USE`; 1 is the formula itself. */
  activity: number;
}

/** Heat per vapour pressure of the evaporation formula, constant and by wind [kW/(m²·kPa)]. */
export const EVAPORATION = { still: 0.089, perWind: 0.0782 } as const;

/** Heat that leaves an open surface per kPa of vapour pressure above the air's [W/kPa]. */
const wattsPerKPa = ({ areaM2, windMPerS, activity }: OpenWater): number =>
  1000 * areaM2 * activity * (EVAPORATION.still + EVAPORATION.perWind * windMPerS);

/**
 * Heat that an open surface loses by evaporation.
 *
 * @returns W; 0 where the air is so damp that vapour would rather settle
 *
 * Valid for: water warmer than the air's dew point, wind of 0…5 m/s. Accuracy: tens of percent.
 * Source: ASHRAE Handbook, HVAC Applications, Natatoriums (Carrier 1918); the shares from Smith, Löf
 * and Jones, ASHRAE Transactions 1998. Checked by: test/physics/tub-losses.test.ts.
 */
export function evaporationW(open: OpenWater): number {
  const excessKPa = vapourPressureKPa(open.waterC) - open.humidity * vapourPressureKPa(open.airC);
  return wattsPerKPa(open) * Math.max(0, excessKPa);
}

/** Water that an open surface loses by evaporation [kg/h]. */
export const evaporationKgPerH = (open: OpenWater): number =>
  (3.6 * evaporationW(open)) / latentHeatKJPerKg(open.waterC);

/**
 * Psychrometric constant: how much heat goes into warm air beside each kilopascal that evaporates.
 *
 * @returns kPa/K, about 0.067 at sea level
 */
export const psychrometricKPaPerK = (pressureKPa: number, latentKJPerKg: number): number =>
  (1.006 * pressureKPa) / (0.622 * latentKJPerKg);

/**
 * Heat that an open surface gives to the air by warming it. The same stirring that carries vapour
 * away carries heat, so that the two stand in the Bowen ratio γ·(water − air)/(p_water − p_air).
 *
 * @returns W; negative where the air is warmer
 */
export function openConvectionW(open: OpenWater, pressureKPa = 101.325): number {
  const gamma = psychrometricKPaPerK(pressureKPa, latentHeatKJPerKg(open.waterC));
  return wattsPerKPa(open) * gamma * (open.waterC - open.airC);
}

/** Heat that a surface gives to the air at a coefficient that is known [W]. */
export const convectionW = (
  wPerM2K: number,
  areaM2: number,
  surfaceC: number,
  airC: number,
): number => wPerM2K * areaM2 * (surfaceC - airC);

/**
 * Temperature of a cloudless sky as it radiates; under full cloud take the air's own.
 *
 * @param hour  hours from midnight, local sun time
 * @returns °C, some 10 to 25 K below the air
 *
 * Valid for: dew points of −30…30 °C. Accuracy: 3 K. Source: Berdahl and Martin 1984.
 */
export function skyC(airC: number, dewPointC: number, hour: number): number {
  const emissivity =
    0.711 +
    0.0056 * dewPointC +
    0.000073 * dewPointC * dewPointC +
    0.013 * Math.cos((Math.PI * hour) / 12);
  return (airC + KELVIN) * Math.min(1, emissivity) ** 0.25 - KELVIN;
}

/**
 * Heat that a surface radiates to the sky, less what the sky sends back.
 *
 * @param emissivity  0.95 for water
 * @returns W. Source: Stefan-Boltzmann
 */
export function longWaveW(
  areaM2: number,
  surfaceC: number,
  skyTemperatureC: number,
  emissivity = 0.95,
): number {
  return (
    areaM2 *
    emissivity *
    STEFAN_BOLTZMANN *
    ((surfaceC + KELVIN) ** 4 - (skyTemperatureC + KELVIN) ** 4)
  );
}

/**
 * All that the surface of an open tub loses.
 *
 * @param skyTemperatureC  see `skyC`
 * @returns W, e.g. 2200 for 3 m² at rest at 38 °C in calm air of 10 °C, 3600 in wind of 1 m/s
 *
 * Accuracy: a third. What the walls lose comes on top.
 */
export function openLossW(open: OpenWater, skyTemperatureC: number, pressureKPa = 101.325): number {
  return (
    evaporationW(open) +
    openConvectionW(open, pressureKPa) +
    longWaveW(open.areaM2, open.waterC, skyTemperatureC)
  );
}
