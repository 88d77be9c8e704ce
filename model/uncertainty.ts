import type { SensorClass } from './setup.ts';

/**
 * Uncertainty of measured values and of the heat worked out from them, by the GUM (JCGM 100:2008).
 *
 * Everything is a standard uncertainty (k = 1) unless it is called a limit: what a data sheet gives
 * as ± is a limit, within which every error is taken for equally likely.
 * Checked by: test/physics/uncertainty.test.ts.
 */

type FlowClass = Extract<SensorClass, `turbine-${string}` | `bucket-${string}`>;
type TemperatureClass = Exclude<SensorClass, FlowClass>;

/** Limit of a thermometer: ±(atZeroK + perK · |t|), t in °C. Platinum by IEC 60751. */
const thermometers: Record<TemperatureClass, { atZeroK: number; perK: number }> = {
  'digital-0.5': { atZeroK: 0.5, perK: 0 },
  'digital-0.2': { atZeroK: 0.2, perK: 0 },
  'pt100-a': { atZeroK: 0.15, perK: 0.002 },
  'pt100-b': { atZeroK: 0.3, perK: 0.005 },
  'thermistor-1': { atZeroK: 0.4, perK: 0 },
};

/** Limit of a flow or volume sensor, as a share of what it reads. */
const flowSensors: Record<FlowClass, number> = {
  'turbine-10': 0.1,
  'turbine-5': 0.05,
  'bucket-3': 0.03,
};

/** u(ΔT) of two thermometers that were zeroed against each other in the same water. [K] */
const ZEROED_PAIR_K = 0.1;

/** Standard uncertainty of a value known to lie within ±limit (GUM 4.3.7, a rectangle). */
export const uncertaintyOfLimit = (limit: number): number => limit / Math.sqrt(3);

/** Standard uncertainty that comes from reading in steps (GUM F.2.2.1). */
export const uncertaintyOfStep = (step: number): number => uncertaintyOfLimit(step / 2);

/** The ± of a thermometer of a class at tC [K]; a class of flow sensors stands for the default. */
export function temperatureLimitK(sensorClass: SensorClass, tC: number): number {
  const { atZeroK, perK } = isFlowClass(sensorClass)
    ? thermometers['digital-0.5']
    : thermometers[sensorClass];
  return atZeroK + perK * Math.abs(tC);
}

/** Standard uncertainty of one thermometer at tC [K]. */
export const temperatureUncertaintyK = (sensorClass: SensorClass, tC: number): number =>
  uncertaintyOfLimit(temperatureLimitK(sensorClass, tC));

/**
 * Standard uncertainty of a flow or a volume, as a share of it; a class of thermometers stands for
 * the default.
 */
export const flowRelativeUncertainty = (sensorClass: SensorClass): number =>
  uncertaintyOfLimit(flowSensors[isFlowClass(sensorClass) ? sensorClass : 'turbine-10']);

const isFlowClass = (sensorClass: SensorClass): sensorClass is FlowClass =>
  Object.hasOwn(flowSensors, sensorClass);

/** Standard uncertainty of a difference of two values (GUM Eq. 13); correlation −1…1. */
export function differenceUncertainty(uA: number, uB: number, correlation = 0): number {
  return Math.sqrt(Math.max(0, uA * uA + uB * uB - 2 * correlation * uA * uB));
}

/**
 * u(ΔT) of the loop's pair of thermometers [K].
 *
 * @param zeroed  the two were zeroed against each other on the same day: what they share cancels
 */
export function pairUncertaintyK(
  [outletClass, inletClass]: readonly [SensorClass, SensorClass],
  outletC: number,
  inletC: number,
  zeroed: boolean,
): number {
  if (zeroed) return ZEROED_PAIR_K;
  return differenceUncertainty(
    temperatureUncertaintyK(outletClass, outletC),
    temperatureUncertaintyK(inletClass, inletC),
  );
}

/**
 * Relative standard uncertainty of Q = k · V · ΔT, to first order (GUM Eq. 12); k itself is known so
 * much better that it is left out.
 *
 * @returns null for ΔT = 0: there the heat is 0 and its uncertainty k · V · u(ΔT)
 */
export function heatRelativeUncertainty(
  volumeRelative: number,
  deltaUncertaintyK: number,
  deltaK: number,
): number | null {
  return deltaK === 0 ? null : Math.hypot(volumeRelative, deltaUncertaintyK / deltaK);
}

/**
 * Standard uncertainty of a sum: parts that are the same error in every term add linearly and never
 * average out, independent ones add in squares.
 */
export function sumUncertainty(terms: readonly { common: number; independent: number }[]): number {
  let common = 0;
  let squares = 0;
  for (const term of terms) {
    common += term.common;
    squares += term.independent * term.independent;
  }
  return Math.hypot(common, Math.sqrt(squares));
}

/** Accuracy class of a heat meter and the smallest difference that it is made for (EN 1434-1). */
export interface MeterClass {
  accuracy: 1 | 2 | 3;
  smallestK: 3 | 5 | 10;
}

const flowSensorLimits = {
  1: { atLeast: 1, perTurndown: 0.01 },
  2: { atLeast: 2, perTurndown: 0.02 },
  3: { atLeast: 3, perTurndown: 0.05 },
};

/**
 * Largest error that a heat meter made for trade may have, part by part and in all: what a home-made
 * one can be measured against.
 *
 * @param turndown  permanent flow over present flow, qp/q, 1 or more
 * @param deltaK    temperature difference [K]
 * @returns limits in percent of the true value, their sum in `meter`; null below the smallest
 *   difference, where a meter claims nothing
 *
 * Source: EN 1434-1, clause 9; Directive 2014/32/EU, Annex VI.
 */
export function heatMeterErrorLimitPercent(
  { accuracy, smallestK }: MeterClass,
  turndown: number,
  deltaK: number,
): { flowSensor: number; pair: number; calculator: number; meter: number } | null {
  if (deltaK < smallestK) return null;
  const { atLeast, perTurndown } = flowSensorLimits[accuracy];
  const flowSensor = Math.min(5, atLeast + perTurndown * turndown);
  const pair = 0.5 + (3 * smallestK) / deltaK;
  const calculator = 0.5 + smallestK / deltaK;
  return { flowSensor, pair, calculator, meter: flowSensor + pair + calculator };
}
