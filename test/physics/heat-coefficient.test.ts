import fc from 'fast-check';
import { expect, test } from 'vitest';
import { heatCoefficient } from '../../model/heat-coefficient.ts';
import { waterProperties } from '../../model/water.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

/** A heating meter names its hot pipe flow and its cold one return; ours are outlet and inlet. */
const pipe = { flow: 'outlet', return: 'inlet' } as const;
interface Meter {
  t_flow_C: number;
  t_return_C: number;
  flow_sensor_in: 'flow' | 'return';
  p_bar_abs: number;
}
const ours = ({ t_flow_C, t_return_C, flow_sensor_in, p_bar_abs }: Meter) =>
  heatCoefficient(t_flow_C, t_return_C, pipe[flow_sensor_in], p_bar_abs / 10);

const liquidC = fc.double({ min: 0, max: 120, noNaN: true });
const place = fc.constantFrom('inlet' as const, 'outlet' as const);

test('the heat coefficient is that of EN 1434-1 at 16 and at 2 bar, for both places of the sensor', () => {
  const known = cases<Meter, { k_kJ_per_m3K: number; cross_check_iapws95_kJ_per_m3K: number }>(
    'heat-meter',
    'heat coefficient',
  );
  hold(
    'heat coefficient',
    48,
    known.map((c) => [ours(c.inputs), c.expected.k_kJ_per_m3K / 1000]),
  );
  hold(
    'heat coefficient against IAPWS-95',
    48,
    known.map((c) => [ours(c.inputs), c.expected.cross_check_iapws95_kJ_per_m3K / 1000]),
  );
});

test('heat is the coefficient times volume times difference', () => {
  const known = cases<Meter & { volume_m3: number }, { Q_kJ: number; Q_kWh: number }>(
    'heat-meter',
    'energy',
  );
  const kj = ({ inputs }: (typeof known)[number]) =>
    ours(inputs)! * inputs.volume_m3 * 1000 * (inputs.t_flow_C - inputs.t_return_C);
  hold(
    'heat by volume',
    8,
    known.flatMap((c) => [
      [kj(c), c.expected.Q_kJ],
      [kj(c) / 3600, c.expected.Q_kWh],
    ]),
  );
});

test('a year of a real heat meter is met, and the wrong pipe or a fixed factor is not', () => {
  const months = cases<
    { volume_m3: number; volume_times_supply_m3C: number; volume_times_return_m3C: number },
    { energy_kWh: number }
  >('heat-meter-2018', 'months');
  const pressureMPa = 1.6;
  const kwh = (kOf: (supplyC: number, returnC: number) => number) =>
    months.map(({ inputs }) => {
      const supplyC = inputs.volume_times_supply_m3C / inputs.volume_m3;
      const returnC = inputs.volume_times_return_m3C / inputs.volume_m3;
      return (kOf(supplyC, returnC) * inputs.volume_m3 * (supplyC - returnC)) / 3.6;
    });
  const sum = (amounts: readonly number[]) => amounts.reduce((a, b) => a + b, 0);
  const register = months.map((month) => month.expected.energy_kWh);

  // This meter counts its litres in the hot pipe.
  const counted = kwh((s, r) => heatCoefficient(s, r, 'outlet', pressureMPa)!);
  hold(
    'a month of the real meter',
    12,
    counted.map((ours, month) => [ours, register[month]!]),
  );
  hold('a year of the real meter', 1, [[sum(counted), sum(register)]]);

  const wrongPipe = sum(kwh((s, r) => heatCoefficient(s, r, 'inlet', pressureMPa)!));
  const fixed = sum(kwh(() => 1.163 * 3.6));
  expect(wrongPipe / sum(register) - 1).toBeCloseTo(0.019, 3);
  expect(fixed / sum(register) - 1).toBeCloseTo(0.0258, 3);
});

test('equal temperatures have the limit of the coefficient, without a step beside it', () => {
  fc.assert(
    fc.property(fc.double({ min: 0.1, max: 119.9, noNaN: true }), place, (tC, flowSensorAt) => {
      const { heatCapacity, volume } = waterProperties(tC)!;
      const limit = heatCoefficient(tC, tC, flowSensorAt)!;
      expect(limit).toBeCloseTo(heatCapacity / volume / 1000, 12);
      for (const deltaK of [9.9e-4, 1.1e-3, -9.9e-4, -1.1e-3]) {
        const near = heatCoefficient(tC + deltaK, tC, flowSensorAt)!;
        expect(Math.abs(near / limit - 1)).toBeLessThan(2e-6);
      }
    }),
  );
});

test('heat from one temperature to another is the heat back, with the sensor in the same water', () => {
  fc.assert(
    fc.property(liquidC, liquidC, (a, b) => {
      const there = heatCoefficient(a, b, 'outlet')! * (a - b);
      const back = heatCoefficient(b, a, 'inlet')! * (b - a);
      expect(there + back).toBeCloseTo(0, 9);
    }),
  );
});

test('a litre counted in the hotter pipe carries less heat', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 5, max: 119, noNaN: true }),
      fc.double({ min: 0.1, max: 60, noNaN: true }),
      (coldC, deltaK) => {
        const hotC = Math.min(120, coldC + deltaK);
        const inHot = heatCoefficient(hotC, coldC, 'outlet')!;
        expect(inHot).toBeLessThan(heatCoefficient(hotC, coldC, 'inlet')!);
      },
    ),
  );
});

test('the hotter the pipe with the sensor, the smaller the coefficient', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 5, max: 118, noNaN: true }),
      fc.double({ min: 5, max: 119, noNaN: true }),
      (inletC, outletC) => {
        const k = heatCoefficient(outletC, inletC, 'outlet')!;
        expect(heatCoefficient(outletC + 1, inletC, 'outlet')!).toBeLessThan(k);
      },
    ),
  );
});

test('pressures between 0.1 and 0.6 MPa give the same coefficient within 0.03 % up to 95 °C', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 95, noNaN: true }),
      fc.double({ min: 0, max: 95, noNaN: true }),
      place,
      fc.double({ min: 0.1, max: 0.6, noNaN: true }),
      (outletC, inletC, flowSensorAt, pressureMPa) => {
        const k = heatCoefficient(outletC, inletC, flowSensorAt, pressureMPa)!;
        const usual = heatCoefficient(outletC, inletC, flowSensorAt)!;
        expect(Math.abs(k / usual - 1)).toBeLessThan(3e-4);
      },
    ),
  );
});

test('without liquid there is no coefficient', () => {
  for (const notLiquid of [-0.01, 120.01, Number.NaN, Number.POSITIVE_INFINITY]) {
    expect(heatCoefficient(notLiquid, 40, 'inlet')).toBeNull();
    expect(heatCoefficient(40, notLiquid, 'inlet')).toBeNull();
  }
  expect(heatCoefficient(101, 40, 'inlet', 0.1)).toBeNull(); // steam at that pressure
});
