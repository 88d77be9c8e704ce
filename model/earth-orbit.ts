/**
 * Where the sun stands among the stars, seen from the middle of the earth, by the Solar Position
 * Algorithm of NREL/TP-560-34302 (Reda & Andreas 2008) with its series cut short.
 *
 * Cut: periodic terms of the earth's place below 1e-6 rad (0.2″), its latitude (1.2″ at most), and
 * nutation but for the four largest terms (0.4″). Dynamical time is taken to run a constant 69 s
 * ahead of UTC, as it does in 2026: 40 s off in 1950, worth 2″. Together 3″, 0.0008°, from 1950 to
 * 2050, and some 6″ in 2100, where nobody knows how slowly the earth will turn.
 *
 * Checked by: test/physics/sun.test.ts.
 */

const RADIANS = Math.PI / 180;
const ARCSECONDS = 3600; // in a degree
const MS_PER_DAY = 86_400_000;
const MS_OF_2000 = 946_728_000_000; // 2000-01-01 12:00, J2000.0
const DAYS_PER_CENTURY = 36_525;
const DYNAMICAL_AHEAD_MS = 69_000;

/** One term A · cos(B + C · millennia); the tables are those of NREL/TP-560-34302, Table A4.2. */
type Term = readonly [A: number, B: number, C: number];

/** The earth's longitude about the sun [1e-8 rad], by powers of millennia. */
const longitude: readonly (readonly Term[])[] = [
  [
    [175347046, 0, 0],
    [3341656, 4.6692568, 6283.07585],
    [34894, 4.6261, 12566.1517],
    [3497, 2.7441, 5753.3849],
    [3418, 2.8289, 3.5231],
    [3136, 3.6277, 77713.7715],
    [2676, 4.4181, 7860.4194],
    [2343, 6.1352, 3930.2097],
    [1324, 0.7425, 11506.7698],
    [1273, 2.0371, 529.691],
    [1199, 1.1096, 1577.3435],
    [990, 5.233, 5884.927],
    [902, 2.045, 26.298],
    [857, 3.508, 398.149],
    [780, 1.179, 5223.694],
    [753, 2.533, 5507.553],
    [505, 4.583, 18849.228],
    [492, 4.205, 775.523],
    [357, 2.92, 0.067],
    [317, 5.849, 11790.629],
    [284, 1.899, 796.298],
    [271, 0.315, 10977.079],
    [243, 0.345, 5486.778],
    [206, 4.806, 2544.314],
    [205, 1.869, 5573.143],
    [202, 2.458, 6069.777],
    [156, 0.833, 213.299],
    [132, 3.411, 2942.463],
    [126, 1.083, 20.775],
    [115, 0.645, 0.98],
    [103, 0.636, 4694.003],
    [102, 0.976, 15720.839],
    [102, 4.267, 7.114],
  ],
  [
    [628331966747, 0, 0],
    [206059, 2.678235, 6283.07585],
    [4303, 2.6351, 12566.1517],
  ],
  [
    [52919, 0, 0],
    [8720, 1.0721, 6283.0758],
  ],
];

/** The earth's distance from the sun [1e-8 au]. */
const distance: readonly (readonly Term[])[] = [
  [
    [100013989, 0, 0],
    [1670700, 3.0984635, 6283.07585],
    [13956, 3.05525, 12566.1517],
    [3084, 5.1985, 77713.7715],
  ],
  [[103019, 1.10749, 6283.07585]],
];

/** The largest terms of nutation, by the multiples of D, F and Ω [1e-4 ″]; Table A4.3. */
const nutation: readonly (readonly [D: number, F: number, O: number, psi: number, eps: number])[] =
  [
    [0, 0, 1, -171996, 92025],
    [-2, 2, 2, -13187, 5736],
    [0, 2, 2, -2274, 977],
    [0, 0, 2, 2062, -895],
  ];

export interface GeocentricSun {
  earthLongitudeDeg: number; // heliocentric, 0…360
  distanceAu: number;
  nutationLongitudeDeg: number;
  nutationObliquityDeg: number;
  obliquityDeg: number; // of the ecliptic, true
  longitudeDeg: number; // apparent, 0…360
  rightAscensionDeg: number; // 0…360
  declinationDeg: number;
  siderealDeg: number; // apparent, at Greenwich, 0…360
}

/** The sun as seen from the middle of the earth at t [ms since 1970-01-01 UTC]; years 1950…2100. */
export function geocentricSun(t: number): GeocentricSun {
  const days = (t - MS_OF_2000) / MS_PER_DAY;
  const T = (days + DYNAMICAL_AHEAD_MS / MS_PER_DAY) / DAYS_PER_CENTURY;
  const earthLongitudeDeg = turn(sum(longitude, T / 10) / RADIANS);
  const distanceAu = sum(distance, T / 10);

  const D = (297.85036 + 445267.11148 * T) * RADIANS;
  const F = (93.27191 + 483202.017538 * T) * RADIANS;
  const O = (125.04452 - 1934.136261 * T) * RADIANS;
  let [psi, eps] = [0, 0];
  for (const [d, f, o, sine, cosine] of nutation) {
    const angle = d * D + f * F + o * O;
    psi += sine * Math.sin(angle);
    eps += cosine * Math.cos(angle);
  }
  const nutationLongitudeDeg = psi / 1e4 / ARCSECONDS;
  const nutationObliquityDeg = eps / 1e4 / ARCSECONDS;
  const meanObliquityDeg =
    (84381.448 - T * (46.8093 + T * (0.000155 - T * 0.00199925))) / ARCSECONDS;
  const obliquityDeg = meanObliquityDeg + nutationObliquityDeg;

  const aberrationDeg = -20.4898 / ARCSECONDS / distanceAu;
  const longitudeDeg = turn(earthLongitudeDeg + 180 + nutationLongitudeDeg + aberrationDeg);
  const [lambda, epsilon] = [longitudeDeg * RADIANS, obliquityDeg * RADIANS];
  const sinLambda = Math.sin(lambda);
  const cosEpsilon = Math.cos(epsilon);
  return {
    earthLongitudeDeg,
    distanceAu,
    nutationLongitudeDeg,
    nutationObliquityDeg,
    obliquityDeg,
    longitudeDeg,
    rightAscensionDeg: turn(Math.atan2(sinLambda * cosEpsilon, Math.cos(lambda)) / RADIANS),
    declinationDeg: Math.asin(Math.sin(epsilon) * sinLambda) / RADIANS,
    siderealDeg: siderealAt(days, nutationLongitudeDeg * cosEpsilon),
  };
}

function siderealAt(days: number, nutationDeg: number): number {
  const centuries = days / DAYS_PER_CENTURY;
  return turn(
    280.46061837 + 360.98564736629 * days + 0.000387933 * centuries * centuries + nutationDeg,
  );
}

function sum(series: readonly (readonly Term[])[], millennia: number): number {
  let [total, power] = [0, 1e-8];
  for (const terms of series) {
    for (const [A, B, C] of terms) total += power * A * Math.cos(B + C * millennia);
    power *= millennia;
  }
  return total;
}

/** An angle brought to 0…360. */
export const turn = (deg: number): number => deg - 360 * Math.floor(deg / 360);
