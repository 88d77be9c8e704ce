import fc from 'fast-check';
import { expect, test } from 'vitest';
import { pointType } from '../../model/points.ts';
import { MINUTE } from '../../model/readings.ts';
import { type SensorClass, sensorClasses } from '../../model/setup.ts';
import {
  differenceUncertainty,
  flowRelativeUncertainty,
  heatMeterErrorLimitPercent,
  heatRelativeUncertainty,
  type MeterClass,
  pairUncertaintyK,
  sumUncertainty,
  temperatureLimitK,
  temperatureUncertaintyK,
  uncertaintyOfLimit,
  uncertaintyOfStep,
} from '../../model/uncertainty.ts';
import { impossible, isPowerOn } from '../../model/usable.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

test('a limit is a rectangle: divided by the root of three', () => {
  const known = cases<{ half_width: number }, { standard_uncertainty: number }>(
    'uncertainty',
    'rectangle',
  );
  hold(
    'standard uncertainty of a limit',
    3,
    known.map((c) => [uncertaintyOfLimit(c.inputs.half_width), c.expected.standard_uncertainty]),
  );
});

test('reading in steps adds a twelfth of the squared step', () => {
  const [known] = cases<
    { step_K: number },
    { standard_uncertainty_K: number; of_a_difference_K: number }
  >('uncertainty', 'resolution');
  const { inputs, expected } = known!;
  const one = uncertaintyOfStep(inputs.step_K);
  hold('standard uncertainty of a limit', 2, [
    [one, expected.standard_uncertainty_K],
    [differenceUncertainty(one, one), expected.of_a_difference_K],
  ]);
});

test('the usual digital thermometer is taken as its data sheet has it', () => {
  const [known] = cases<
    unknown,
    { limit_K: number; t_low_C: number; t_high_C: number; step_K: number; power_on_C: number }
  >('uncertainty', 'digital sensor');
  const { limit_K, t_low_C, t_high_C, step_K, power_on_C } = known!.expected;
  for (const tC of [-10, 0, 38, 85]) expect(temperatureLimitK('digital-0.5', tC)).toBe(limit_K);
  const collector = pointType('collector/1/temperature')!;
  expect(isPowerOn(power_on_C, collector, 22, MINUTE)).toBe(true);
  expect(isPowerOn(power_on_C + step_K, collector, 22, MINUTE)).toBe(false);
  const register = cases<{ raw_hex: string }, { t_C: number }>('uncertainty', 'digital register');
  expect(register).toHaveLength(10);
  for (const { inputs, expected } of register) {
    const bits = Number.parseInt(inputs.raw_hex, 16);
    const tC = (bits < 0x8000 ? bits : bits - 0x10000) * step_K;
    expect(tC).toBe(expected.t_C);
    expect(tC).toBeGreaterThanOrEqual(t_low_C);
    expect(tC).toBeLessThanOrEqual(t_high_C);
    // An error code of its driver is nothing that the register can hold.
    expect(impossible(tC, { kind: 'temperature', low: t_low_C, high: t_high_C })).toBeNull();
  }
  for (const code of [-127, 127.94]) expect(impossible(code, collector)).not.toBeNull();
});

test('platinum thermometers have the tolerance of IEC 60751, classes A and B', () => {
  const classes: Record<string, SensorClass> = { A: 'pt100-a', B: 'pt100-b' };
  const known = cases<{ class: string; t_C: number }, { tolerance_K: number }>(
    'uncertainty',
    'platinum tolerance',
  );
  hold(
    'tolerance of a thermometer',
    18,
    known.map(({ inputs, expected }) => [
      temperatureLimitK(classes[inputs.class]!, inputs.t_C),
      expected.tolerance_K,
    ]),
  );
});

test('two sensors within half a kelvin each leave a small difference very uncertain', () => {
  const known = cases<
    { dT_K: number; limit_each_K: number },
    { relative_standard_uncertainty_percent: number }
  >('uncertainty', 'difference of two sensors');
  hold(
    'uncertainty of a difference',
    8,
    known.map(({ inputs, expected }) => [
      (100 * pairUncertaintyK(['digital-0.5', 'digital-0.5'], 40 + inputs.dT_K, 40, false)) /
        inputs.dT_K,
      expected.relative_standard_uncertainty_percent,
    ]),
  );
});

test('heat is as uncertain as its volume and its difference together', () => {
  const known = cases<
    {
      volume_relative_limit_or_u: number;
      t_hot_C: number;
      t_cold_C: number;
      each_temperature_limit_or_u_K: number;
      distribution: 'normal' | 'rect';
      correlation_of_temperatures: number;
    },
    { u_dT_K: number; relative_standard_uncertainty: number }
  >('uncertainty', 'energy');
  const ours = known.map(({ inputs }) => {
    const standard = inputs.distribution === 'rect' ? uncertaintyOfLimit : (u: number) => u;
    const one = standard(inputs.each_temperature_limit_or_u_K);
    const deltaUncertaintyK = differenceUncertainty(one, one, inputs.correlation_of_temperatures);
    const relative = heatRelativeUncertainty(
      standard(inputs.volume_relative_limit_or_u),
      deltaUncertaintyK,
      inputs.t_hot_C - inputs.t_cold_C,
    );
    return { deltaUncertaintyK, relative };
  });
  hold(
    'uncertainty of a difference',
    8,
    ours.map((one, i) => [one.deltaUncertaintyK, known[i]!.expected.u_dT_K]),
  );
  hold(
    'uncertainty of heat',
    8,
    ours.map((one, i) => [one.relative, known[i]!.expected.relative_standard_uncertainty]),
  );
  expect(heatRelativeUncertainty(0.05, 0.4, 0)).toBeNull();
});

test('over many intervals a common error stays and independent ones average out', () => {
  const known = cases<
    { intervals: number; relative_u_common_to_all: number; relative_u_independent: number },
    { relative_u_of_sum: number }
  >('uncertainty', 'sum of equal intervals');
  hold(
    'uncertainty of a sum',
    3,
    known.map(({ inputs, expected }) => {
      const term = {
        common: inputs.relative_u_common_to_all,
        independent: inputs.relative_u_independent,
      };
      const terms = Array.from({ length: inputs.intervals }, () => term);
      return [sumUncertainty(terms) / inputs.intervals, expected.relative_u_of_sum];
    }),
  );
  expect(sumUncertainty([])).toBe(0);
});

test('a heat meter may err by no more than EN 1434-1 allows', () => {
  interface Meter {
    accuracy_class: MeterClass['accuracy'];
    qp_over_q: number;
    dT_min_K: MeterClass['smallestK'];
    dT_K: number;
  }
  const limit = (m: Partial<Meter>) =>
    heatMeterErrorLimitPercent(
      { accuracy: m.accuracy_class ?? 2, smallestK: m.dT_min_K ?? 3 },
      m.qp_over_q ?? 1,
      m.dT_K ?? 10,
    );
  const flowSensors = cases<Meter, { Ef_percent: number; capped: boolean }>(
    'heat-meter',
    'flow sensor limit',
  );
  hold(
    'error limit of a heat meter',
    27,
    flowSensors.map((c) => [limit(c.inputs)?.flowSensor, c.expected.Ef_percent]),
  );
  const pairs = cases<Meter, { Ec_percent: number; Et_percent: number }>(
    'heat-meter',
    'calculator and pair limits',
  );
  hold(
    'error limit of a heat meter',
    26,
    pairs.flatMap((c) => [
      [limit(c.inputs)?.calculator, c.expected.Ec_percent],
      [limit(c.inputs)?.pair, c.expected.Et_percent],
    ]),
  );
  const meters = cases<Meter, { E_percent: number }>('heat-meter', 'complete meter limit');
  hold(
    'error limit of a heat meter',
    8,
    meters.map((c) => [limit(c.inputs)?.meter, c.expected.E_percent]),
  );
  expect(limit({ dT_min_K: 3, dT_K: 2.9 })).toBeNull();
});

test('sensors zeroed against each other measure a difference to a tenth of a kelvin', () => {
  fc.assert(
    fc.property(fc.constantFrom(...sensorClasses), fc.double({ min: 0, max: 120 }), (kind, tC) => {
      expect(pairUncertaintyK([kind, kind], tC, 30, true)).toBe(0.1);
    }),
  );
});

test('every class has its limit, and one of the wrong kind stands for the default', () => {
  const limits = sensorClasses.map((name) => [
    name,
    temperatureLimitK(name, -50),
    +(flowRelativeUncertainty(name) * Math.sqrt(3)).toFixed(9),
  ]);
  expect(limits).toEqual([
    ['digital-0.5', 0.5, 0.1],
    ['digital-0.2', 0.2, 0.1],
    ['pt100-a', 0.25, 0.1],
    ['pt100-b', 0.55, 0.1],
    ['thermistor-1', 0.4, 0.1],
    ['turbine-10', 0.5, 0.1],
    ['turbine-5', 0.5, 0.05],
    ['bucket-3', 0.5, 0.03],
  ]);
  expect(temperatureUncertaintyK('digital-0.2', 40)).toBeCloseTo(0.115470054, 9);
});
