import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  boilingC,
  densityAt,
  enthalpyAt,
  isLiquid,
  saturationPressureMPa,
  saturationTemperatureC,
  waterProperties,
} from '../../model/water.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

const KELVIN = 273.15;

test('the verification table of region 1 is met in every property', () => {
  const known = cases<
    { T_K: number; p_MPa: number },
    {
      v_m3_per_kg: number;
      h_kJ_per_kg: number;
      u_kJ_per_kg: number;
      s_kJ_per_kgK: number;
      cp_kJ_per_kgK: number;
      w_m_per_s: number;
    }
  >('water', 'region 1 verification');
  hold(
    'IF97 verification',
    18,
    known.flatMap(({ inputs, expected }) => {
      const water = waterProperties(inputs.T_K - KELVIN, inputs.p_MPa);
      return [
        [water?.volume, expected.v_m3_per_kg],
        [water?.enthalpy, expected.h_kJ_per_kg],
        [water?.internalEnergy, expected.u_kJ_per_kg],
        [water?.entropy, expected.s_kJ_per_kgK],
        [water?.heatCapacity, expected.cp_kJ_per_kgK],
        [water?.soundSpeed, expected.w_m_per_s],
      ] as const;
    }),
  );
});

test('the verification table of the saturation line is met', () => {
  const known = cases<{ T_K: number }, { p_sat_MPa: number }>('water', 'saturation verification');
  hold(
    'IF97 verification',
    3,
    known.map((c) => [saturationPressureMPa(c.inputs.T_K - KELVIN), c.expected.p_sat_MPa]),
  );
});

test('water between 0 and 95 °C agrees with IF97 as computed elsewhere, and with IAPWS-95', () => {
  interface Water {
    rho_kg_per_m3: number;
    cp_kJ_per_kgK: number;
    h_kJ_per_kg: number;
  }
  const known = cases<{ t_C: number; p_MPa: number }, Water & { cross_check_iapws95: Water }>(
    'water',
    'liquid water',
  );
  const ours = known.map(({ inputs }) => waterProperties(inputs.t_C, inputs.p_MPa)!);
  for (const [against, expected] of [
    ['the IF97 table', known.map((c) => c.expected)],
    ['IAPWS-95', known.map((c) => c.expected.cross_check_iapws95)],
  ] as const) {
    hold(
      `density against ${against}`,
      40,
      expected.map((water, i) => [1 / ours[i]!.volume, water.rho_kg_per_m3]),
    );
    hold(
      `heat capacity against ${against}`,
      40,
      expected.map((water, i) => [ours[i]!.heatCapacity, water.cp_kJ_per_kgK]),
    );
    hold(
      `enthalpy against ${against}`,
      40,
      expected.map((water, i) => [ours[i]!.enthalpy, water.h_kJ_per_kg]),
    );
  }
});

test('density agrees with handbooks and with Kell', () => {
  type Inputs = { t_C: number; p_MPa: number };
  const ours = ({ t_C, p_MPa }: Inputs) => 1 / waterProperties(t_C, p_MPa)!.volume;
  hold(
    'density against handbooks',
    5,
    cases<Inputs, { rho_kg_per_m3: number }>('water', 'handbook densities').map((c) => [
      ours(c.inputs),
      c.expected.rho_kg_per_m3,
    ]),
  );
  const known = cases<Inputs, { rho_kg_per_m3_kell1975: number; rho_kg_per_m3_iapws95: number }>(
    'water',
    'density by Kell',
  );
  hold(
    'density against Kell',
    8,
    known.map((c) => [ours(c.inputs), c.expected.rho_kg_per_m3_kell1975]),
  );
  hold(
    'density against IAPWS-95',
    8,
    known.map((c) => [ours(c.inputs), c.expected.rho_kg_per_m3_iapws95]),
  );
});

test('the quick enthalpy and density keep to IF97 from 0 to 120 °C', () => {
  const temperatures = Array.from({ length: 12_001 }, (_, i) => (i * 120) / 12_000);
  const exact = temperatures.map((tC) => waterProperties(tC)!);
  hold(
    'interpolated enthalpy',
    12_001,
    temperatures.map((tC, i) => [enthalpyAt(tC), exact[i]!.enthalpy]),
  );
  hold(
    'interpolated density',
    12_001,
    temperatures.map((tC, i) => [densityAt(tC), 1e-3 / exact[i]!.volume]),
  );
});

test('water is liquid from 0 to 120 °C in the loop, and nowhere else', () => {
  expect([0, 60, 120].every(isLiquid)).toBe(true);
  expect([-0.01, 120.01, Number.NaN, Infinity].some(isLiquid)).toBe(false);
});

test('ice, steam and what the formulation does not reach have no properties', () => {
  expect(waterProperties(-0.01)).toBeNull();
  expect(waterProperties(120.3)).toBeNull(); // boils at 120.21 °C at 0.2 MPa
  expect(waterProperties(120.1)).not.toBeNull();
  expect(waterProperties(99.7, 0.1)).toBeNull();
  expect(waterProperties(20, 101)).toBeNull();
  expect(waterProperties(351, 20)).toBeNull();
  expect(waterProperties(Number.NaN)).toBeNull();
  expect(waterProperties(20, Number.NaN)).toBeNull();
  expect(saturationPressureMPa(-0.01)).toBeNull();
  expect(saturationPressureMPa(374)).toBeNull();
  expect(saturationTemperatureC(600e-6)).toBeNull();
  expect(saturationTemperatureC(23)).toBeNull();
});

test('boiling temperature and saturation pressure are each other’s inverse', () => {
  const temperatures = Array.from({ length: 374 }, (_, tC) => tC);
  hold(
    'saturation there and back',
    374,
    temperatures.map((tC) => [saturationTemperatureC(saturationPressureMPa(tC)!), tC]),
  );
});

test('water boils the cooler the higher the place stands', () => {
  expect(boilingC(0)).toBeCloseTo(99.97, 2); // at 101.325 kPa, ITS-90
  fc.assert(
    fc.property(fc.double({ min: -450, max: 5999, noNaN: true }), (elevationM) => {
      expect(boilingC(elevationM + 1)).toBeLessThan(boilingC(elevationM));
    }),
  );
});
