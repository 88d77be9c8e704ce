import { standardPressureHPa } from './atmosphere.ts';

/**
 * Liquid water by IAPWS R7-97(2012), the Industrial Formulation 1997 (IF97): region 1 and the
 * saturation line. Temperatures °C, pressures MPa absolute.
 */

/** Pressure in the loop where nothing else is said [MPa absolute]. */
export const LOOP_MPA = 0.2;

const KELVIN = 273.15; // 0 °C [K]
const R = 0.461526; // specific gas constant of water [kJ/(kg·K)], IF97 Eq. 1

export interface WaterProperties {
  volume: number; // m³/kg
  enthalpy: number; // kJ/kg
  internalEnergy: number; // kJ/kg
  entropy: number; // kJ/(kg·K)
  heatCapacity: number; // at constant pressure [kJ/(kg·K)]
  soundSpeed: number; // m/s
}

/** IF97 Table 2: exponents I and J and coefficient n of Eq. 7, term by term. */
const terms: readonly (readonly [I: number, J: number, n: number])[] = [
  [0, -2, 0.14632971213167],
  [0, -1, -0.84548187169114],
  [0, 0, -0.3756360367204e1],
  [0, 1, 0.33855169168385e1],
  [0, 2, -0.95791963387872],
  [0, 3, 0.15772038513228],
  [0, 4, -0.16616417199501e-1],
  [0, 5, 0.81214629983568e-3],
  [1, -9, 0.28319080123804e-3],
  [1, -7, -0.60706301565874e-3],
  [1, -1, -0.18990068218419e-1],
  [1, 0, -0.32529748770505e-1],
  [1, 1, -0.21841717175414e-1],
  [1, 3, -0.5283835796993e-4],
  [2, -3, -0.47184321073267e-3],
  [2, 0, -0.30001780793026e-3],
  [2, 1, 0.47661393906987e-4],
  [2, 3, -0.44141845330846e-5],
  [2, 17, -0.72694996297594e-15],
  [3, -4, -0.31679644845054e-4],
  [3, 0, -0.28270797985312e-5],
  [3, 6, -0.85205128120103e-9],
  [4, -5, -0.22425281908e-5],
  [4, -2, -0.65171222895601e-6],
  [4, 10, -0.14341729937924e-12],
  [5, -8, -0.40516996860117e-6],
  [8, -11, -0.12734301741641e-8],
  [8, -6, -0.17424871230634e-9],
  [21, -29, -0.68762131295531e-18],
  [23, -31, 0.14478307828521e-19],
  [29, -38, 0.26335781662795e-22],
  [30, -39, -0.11947622640071e-22],
  [31, -40, 0.18228094581404e-23],
  [32, -41, -0.93537087292458e-25],
];

/** γ of IF97 Eq. 7, its derivatives by π and τ (Table 4), and τ itself. */
function gibbs(tC: number, pressureMPa: number) {
  const pi = pressureMPa / 16.53;
  const tau = 1386 / (tC + KELVIN);
  const x = 7.1 - pi;
  const y = tau - 1.222;
  let [g, gPi, gPiPi, gTau, gTauTau, gPiTau] = [0, 0, 0, 0, 0, 0];
  for (const [I, J, n] of terms) {
    const term = n * x ** I * y ** J;
    g += term;
    gPi -= (term * I) / x;
    gPiPi += (term * I * (I - 1)) / (x * x);
    gTau += (term * J) / y;
    gTauTau += (term * J * (J - 1)) / (y * y);
    gPiTau -= (term * I * J) / (x * y);
  }
  return { pi, tau, g, gPi, gPiPi, gTau, gTauTau, gPiTau };
}

/**
 * Properties of liquid water.
 *
 * @param tC  temperature, 0…350 [°C]
 * @param pressureMPa  absolute pressure, from the saturation pressure to 100 [MPa]
 * @returns null outside of region 1: ice, steam, or beyond the formulation's range
 *
 * Accuracy: reproduces the release's verification table to its 9 digits; against IAPWS-95 at
 * 0.1…0.3 MPa and 0…95 °C density within 0.002 %, heat capacity 0.06 %, enthalpy 0.08 kJ/kg.
 * Source: IAPWS R7-97(2012), Eq. 7, Tables 2 to 4. Checked by: test/physics/water.test.ts.
 */
export function waterProperties(tC: number, pressureMPa = LOOP_MPA): WaterProperties | null {
  const saturationMPa = saturationPressureMPa(tC);
  if (saturationMPa === null || tC > 350) return null;
  if (!(pressureMPa >= saturationMPa && pressureMPa <= 100)) return null;
  const { pi, tau, g, gPi, gPiPi, gTau, gTauTau, gPiTau } = gibbs(tC, pressureMPa);
  const T = tC + KELVIN;
  const mixed = gPi - tau * gPiTau;
  return {
    volume: (R * T * pi * gPi) / (pressureMPa * 1000),
    enthalpy: R * T * tau * gTau,
    internalEnergy: R * T * (tau * gTau - pi * gPi),
    entropy: R * (tau * gTau - g),
    heatCapacity: -R * tau * tau * gTauTau,
    soundSpeed: Math.sqrt(
      (1000 * R * T * gPi * gPi) / ((mixed * mixed) / (tau * tau * gTauTau) - gPiPi),
    ),
  };
}

/** IF97 Table 34: n1 to n10 of the saturation line. */
const saturation = [
  0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.1202082470247e5,
  -0.32325550322333e7, 0.1491510861353e2, -0.48232657361591e4, 0.40511340542057e6,
  -0.23855557567849, 0.65017534844798e3,
] as const;

/**
 * Pressure at which water boils at a temperature.
 *
 * @param tC  0…373.946 [°C]
 * @returns MPa absolute; null outside that range
 *
 * Source: IAPWS R7-97(2012), Eq. 30, Table 34. Checked by: test/physics/water.test.ts.
 */
export function saturationPressureMPa(tC: number): number | null {
  if (!(tC >= 0 && tC <= 373.946)) return null;
  const [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = saturation;
  const T = tC + KELVIN;
  const theta = T + n9 / (T - n10);
  const A = theta * theta + n1 * theta + n2;
  const B = n3 * theta * theta + n4 * theta + n5;
  const C = n6 * theta * theta + n7 * theta + n8;
  return ((2 * C) / (-B + Math.sqrt(B * B - 4 * A * C))) ** 4;
}

/**
 * Temperature at which water boils at a pressure.
 *
 * @param pressureMPa  absolute pressure, 0.000611212…22.064 [MPa]
 * @returns °C; null outside that range
 *
 * Source: IAPWS R7-97(2012), Eq. 31, Table 34. Checked by: test/physics/water.test.ts.
 */
export function saturationTemperatureC(pressureMPa: number): number | null {
  if (!(pressureMPa >= 611.212e-6 && pressureMPa <= 22.064)) return null;
  const [n1, n2, n3, n4, n5, n6, n7, n8, n9, n10] = saturation;
  const beta = pressureMPa ** 0.25;
  const E = beta * beta + n3 * beta + n6;
  const F = n1 * beta * beta + n4 * beta + n7;
  const G = n2 * beta * beta + n5 * beta + n8;
  const D = (2 * G) / (-F - Math.sqrt(F * F - 4 * E * G));
  const sum = n10 + D;
  return (sum - Math.sqrt(sum * sum - 4 * (n9 + n10 * D))) / 2 - KELVIN;
}

/**
 * Temperature at which open water boils at a height, in the standard atmosphere.
 *
 * @param elevationM  height above sea level, −450…6000 [m]
 * @returns °C, e.g. 99.97 at sea level, 95.0 at 1500 m; the weather moves it by about ±1 K
 */
export function boilingC(elevationM: number): number {
  return saturationTemperatureC(standardPressureHPa(elevationM) / 10_000)!;
}

/** Where `enthalpyAt` and `densityAt` hold: water that neither freezes nor boils at 0.2 MPa. */
export const isLiquid = (tC: number): boolean => tC >= 0 && tC <= HOTTEST_C;

const HOTTEST_C = 120;
const NODES_PER_K = 4;
const enthalpies = table((tC) => {
  const { tau, gTau, gTauTau } = gibbs(tC, LOOP_MPA);
  const T = tC + KELVIN;
  return { value: R * T * tau * gTau, slope: -R * tau * tau * gTauTau };
});
const densities = table((tC) => {
  const { pi, tau, gPi, gPiTau } = gibbs(tC, LOOP_MPA);
  const kgPerL = LOOP_MPA / (R * (tC + KELVIN) * pi * gPi);
  return { value: kgPerL, slope: (-kgPerL * (gPi - tau * gPiTau)) / (gPi * (tC + KELVIN)) };
});

/**
 * Specific enthalpy of water at 0.2 MPa, from a table of IF97 values: the ledger asks for it at
 * every change of every reading.
 *
 * @param tC  within `isLiquid` [°C]; just outside, the end of the table is carried on
 * @returns kJ/kg, within 1e-8 of IF97
 */
export const enthalpyAt = (tC: number): number => interpolate(enthalpies, tC);

/** Density of water at 0.2 MPa [kg/l], as `enthalpyAt` in range and accuracy. */
export const densityAt = (tC: number): number => interpolate(densities, tC);

/** Values and slopes at evenly spaced temperatures, in turn. */
function table(at: (tC: number) => { value: number; slope: number }): Float64Array {
  const nodes = new Float64Array(2 * (HOTTEST_C * NODES_PER_K + 1));
  for (let i = 0; 2 * i < nodes.length; i++) {
    const { value, slope } = at(i / NODES_PER_K);
    nodes[2 * i] = value;
    nodes[2 * i + 1] = slope / NODES_PER_K;
  }
  return nodes;
}

/** Cubic Hermite interpolation between the two nodes around tC. */
function interpolate(nodes: Float64Array, tC: number): number {
  const x = tC * NODES_PER_K;
  const i = Math.min(Math.max(Math.floor(x), 0), HOTTEST_C * NODES_PER_K - 1);
  const s = x - i;
  const r = 1 - s;
  const a = nodes[2 * i]!;
  const b = nodes[2 * i + 2]!;
  const towardsB = s * (2 * a + nodes[2 * i + 1]!);
  const towardsA = r * (2 * b - nodes[2 * i + 3]!);
  return r * r * (a + towardsB) + s * s * (b + towardsA);
}
