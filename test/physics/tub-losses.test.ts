import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  convectionW,
  cooledC,
  dewPointC,
  EVAPORATION,
  evaporationKgPerH,
  evaporationW,
  heatingHours,
  heatToWarmKwh,
  IN_USE,
  latentHeatKJPerKg,
  longWaveW,
  magnusKPa,
  type OpenWater,
  openConvectionW,
  openLossW,
  psychrometricKPaPerK,
  skyC,
  timeConstantHours,
  tubCapacityWhPerK,
  UNDISTURBED,
  vapourPressureKPa,
} from '../../model/tub-losses.ts';
import { evenly } from './evenly.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

test('warming water takes what IF97 and IAPWS-95 say', () => {
  const known = cases<
    {
      volume_L_at_start_temperature: number;
      t_start_C: number;
      t_end_C: number;
      p_MPa: number;
    },
    { mass_kg: number; heat_kWh: number; heat_MJ: number; heat_kWh_iapws95: number }
  >('tub-losses', 'heat to warm water');
  const ours = known.map(({ inputs }) =>
    heatToWarmKwh(
      inputs.volume_L_at_start_temperature,
      inputs.t_start_C,
      inputs.t_end_C,
      inputs.p_MPa,
    ),
  );
  hold(
    'heat to warm water',
    16,
    known.flatMap(({ expected }, i) => [
      [ours[i], expected.heat_kWh],
      [ours[i]! * 3.6, expected.heat_MJ],
    ]),
  );
  hold(
    'heat to warm water against IAPWS-95',
    8,
    known.map(({ expected }, i) => [ours[i], expected.heat_kWh_iapws95]),
  );
  expect(heatToWarmKwh(1000, 20, 101)).toBeNull();
});

test('a tub takes up per kelvin what warming it by one kelvin takes', () => {
  const known = cases<
    { volume_L_at_start_temperature: number; t_start_C: number; t_end_C: number },
    { heat_kWh: number }
  >('tub-losses', 'heat to warm water').filter(
    ({ inputs }) => inputs.t_end_C - inputs.t_start_C === 1,
  );
  hold(
    'heat capacity of a tub',
    3,
    known.map(({ inputs, expected }) => [
      tubCapacityWhPerK(inputs.volume_L_at_start_temperature, inputs.t_start_C),
      expected.heat_kWh * 1000,
    ]),
  );
  expect(tubCapacityWhPerK(1000, -3)).toBe(tubCapacityWhPerK(1000, 0)); // a sensor below zero
});

interface Cooling {
  t_start_C: number;
  t_ambient_C: number;
  UA_W_per_K: number;
  mass_kg: number;
  c_J_per_kgK: number;
}
const capacityOf = (tub: Cooling) => (tub.mass_kg * tub.c_J_per_kgK) / 3600;

test('a tub left alone cools by Newton’s law', () => {
  const known = cases<
    Cooling & { hours: number },
    { time_constant_h: number; t_end_C: number; energy_lost_kWh: number; mean_loss_W: number }
  >('tub-losses', 'Newton cooling');
  hold(
    'Newton cooling',
    20,
    known.flatMap(({ inputs, expected }) => {
      const capacity = capacityOf(inputs);
      const { t_start_C: start, t_ambient_C: air, UA_W_per_K: ua, hours } = inputs;
      const end = cooledC(start, air, ua, capacity, hours);
      const lostKwh = (capacity * (start - end)) / 1000;
      return [
        [timeConstantHours(ua, capacity), expected.time_constant_h],
        [end, expected.t_end_C],
        [lostKwh, expected.energy_lost_kWh],
        [(lostKwh * 1000) / hours, expected.mean_loss_W],
      ] as const;
    }),
  );
});

test('a heater needs the longer the more the tub loses, or never gets there', () => {
  const known = cases<
    Cooling & { heater_W: number; t_target_C: number },
    { equilibrium_C: number; hours: number }
  >('tub-losses', 'heating time');
  hold(
    'heating time',
    2,
    known.map(({ inputs, expected }) => [
      heatingHours(
        inputs.heater_W,
        inputs.t_start_C,
        inputs.t_target_C,
        inputs.t_ambient_C,
        inputs.UA_W_per_K,
        capacityOf(inputs),
      ),
      expected.hours,
    ]),
  );
  for (const { inputs, expected } of known) {
    const to = (targetC: number) =>
      heatingHours(
        inputs.heater_W,
        inputs.t_start_C,
        targetC,
        inputs.t_ambient_C,
        inputs.UA_W_per_K,
        capacityOf(inputs),
      );
    expect(to(expected.equilibrium_C)).toBeNull();
    expect(to(expected.equilibrium_C - 0.01)).toBeGreaterThan(expected.hours);
    expect(to(inputs.t_start_C)).toBe(0);
  }
});

test('without losses a heater takes its heat’s time, and losses change it steadily', () => {
  expect(heatingHours(2000, 30, 38, 10, 0, 1000)).toBe(4);
  expect(heatingHours(0, 30, 38, 10, 0, 1000)).toBeNull();
  expect(heatingHours(2000, 30, 38, 10, 1e-9, 1000)).toBeCloseTo(4, 9);
});

test('heating for as long as told brings a tub to its target', () => {
  fc.assert(
    fc.property(
      evenly(500, 6000),
      evenly(15, 37.9),
      evenly(-10, 30),
      evenly(1, 30),
      (heater, start, air, ua) => {
        const hours = heatingHours(heater, start, 38, air, ua, 1100);
        fc.pre(hours !== null);
        // the tub approaches air + heater/UA as if that were the air
        expect(cooledC(start, air + heater / ua, ua, 1100, hours!)).toBeCloseTo(38, 6);
      },
    ),
  );
});

test('saturated air holds the vapour that IF97, Magnus and Hyland-Wexler agree on', () => {
  const known = cases<{ t_C: number }, Record<string, number>>('tub-losses', 'saturation pressure');
  hold(
    'vapour pressure',
    30,
    known.flatMap(({ inputs, expected }) => [
      [vapourPressureKPa(inputs.t_C), expected.p_sat_kPa_iapws_if97!],
      [magnusKPa(inputs.t_C), expected['p_sat_kPa_magnus_6.112_17.62_243.12']!],
    ]),
  );
  hold(
    'vapour pressure between formulas',
    45,
    known.flatMap(({ inputs, expected }) => [
      [vapourPressureKPa(inputs.t_C), expected.p_sat_kPa_iapws95!],
      [vapourPressureKPa(inputs.t_C), expected.p_sat_kPa_hyland_wexler!],
      [magnusKPa(inputs.t_C), expected.p_sat_kPa_iapws95!],
    ]),
  );
  expect(vapourPressureKPa(-1e-9)).toBeCloseTo(vapourPressureKPa(0), 3);
});

test('evaporating a kilogram takes the latent heat of IAPWS-95', () => {
  const known = cases<{ t_C: number }, { h_fg_kJ_per_kg: number }>('tub-losses', 'latent heat');
  hold(
    'latent heat',
    7,
    known.map((c) => [latentHeatKJPerKg(c.inputs.t_C), c.expected.h_fg_kJ_per_kg]),
  );
});

test('air has its dew point where the Magnus form turns round', () => {
  const known = cases<
    { t_air_C: number; relative_humidity: number },
    { dew_point_C_magnus: number; dew_point_C_hyland_wexler: number }
  >('tub-losses', 'dew point');
  const ours = known.map((c) => dewPointC(c.inputs.t_air_C, c.inputs.relative_humidity));
  hold(
    'dew point',
    4,
    known.map((c, i) => [ours[i], c.expected.dew_point_C_magnus]),
  );
  hold(
    'dew point against Hyland-Wexler',
    4,
    known.map((c, i) => [ours[i], c.expected.dew_point_C_hyland_wexler]),
  );
  expect(dewPointC(20, 1)).toBeCloseTo(20, 9);
  expect(dewPointC(20, 0)).toBeNull();
});

test('the evaporation formula has the handbook’s constants and the measured shares', () => {
  const [constants] = cases<unknown, Record<string, number>>(
    'tub-losses',
    'evaporation constants',
  ).map((c) => c.expected);
  expect(EVAPORATION.still).toBe(constants!.si_constant_term_kW_per_m2kPa);
  expect(EVAPORATION.perWind).toBe(constants!.si_velocity_term_kJ_per_m3kPa);
  hold('evaporation constants', 2, [
    [EVAPORATION.still, constants!.converted_constant_term!],
    [EVAPORATION.perWind, constants!.converted_velocity_term!],
  ]);
  const shares = cases<unknown, { fraction_of_formula: number }>(
    'tub-losses',
    'evaporation shares',
  ).map((c) => c.expected.fraction_of_formula);
  expect([UNDISTURBED, IN_USE]).toEqual(shares);
});

test('an open tub evaporates what the handbook’s formula gives, step by step', () => {
  interface Inputs {
    area_m2: number;
    t_water_C: number;
    t_air_C: number;
    relative_humidity: number;
    air_speed_m_per_s: number;
    activity_factor: number;
  }
  interface Expected {
    p_w_kPa: number;
    p_a_kPa: number;
    h_fg_kJ_per_kg: number;
    evaporation_kg_per_s: number;
    evaporation_kg_per_h: number;
    latent_heat_loss_W: number;
  }
  const known = cases<Inputs, Expected>('tub-losses', 'evaporation');
  hold(
    'evaporation',
    42,
    known.flatMap(({ inputs, expected }) => {
      const open: OpenWater = {
        areaM2: inputs.area_m2,
        waterC: inputs.t_water_C,
        airC: inputs.t_air_C,
        humidity: inputs.relative_humidity,
        windMPerS: inputs.air_speed_m_per_s,
        activity: inputs.activity_factor,
      };
      return [
        [vapourPressureKPa(open.waterC), expected.p_w_kPa],
        [open.humidity * vapourPressureKPa(open.airC), expected.p_a_kPa],
        [latentHeatKJPerKg(open.waterC), expected.h_fg_kJ_per_kg],
        [evaporationKgPerH(open) / 3600, expected.evaporation_kg_per_s],
        [evaporationKgPerH(open), expected.evaporation_kg_per_h],
        [evaporationW(open), expected.latent_heat_loss_W],
      ] as const;
    }),
  );
});

test('warm air carries heat away beside the vapour in the Bowen ratio', () => {
  const known = cases<
    {
      pressure_kPa: number;
      t_water_C: number;
      t_air_C: number;
      p_a_kPa: number;
      h_fg_kJ_per_kg: number;
    },
    { psychrometric_constant_kPa_per_K: number; convective_over_latent: number }
  >('tub-losses', 'Bowen ratio');
  hold(
    'Bowen ratio',
    4,
    known.flatMap(({ inputs, expected }) => {
      const open: OpenWater = {
        areaM2: 3,
        waterC: inputs.t_water_C,
        airC: inputs.t_air_C,
        humidity: inputs.p_a_kPa / vapourPressureKPa(inputs.t_air_C),
        windMPerS: 1,
        activity: UNDISTURBED,
      };
      return [
        [
          psychrometricKPaPerK(inputs.pressure_kPa, inputs.h_fg_kJ_per_kg),
          expected.psychrometric_constant_kPa_per_K,
        ],
        [
          openConvectionW(open, inputs.pressure_kPa) / evaporationW(open),
          expected.convective_over_latent,
        ],
      ] as const;
    }),
  );
});

test('convection and long-wave radiation are the textbook’s', () => {
  const convection = cases<
    { h_W_per_m2K: number; area_m2: number; t_water_C: number; t_air_C: number },
    { loss_W: number }
  >('tub-losses', 'convection');
  hold(
    'convection',
    4,
    convection.map(({ inputs, expected }) => [
      convectionW(inputs.h_W_per_m2K, inputs.area_m2, inputs.t_water_C, inputs.t_air_C),
      expected.loss_W,
    ]),
  );
  const longWave = cases<
    { area_m2: number; emissivity: number; t_water_C: number; t_sky_C: number },
    { loss_W: number }
  >('tub-losses', 'long wave');
  hold(
    'long-wave radiation',
    3,
    longWave.map(({ inputs, expected }) => [
      longWaveW(inputs.area_m2, inputs.t_water_C, inputs.t_sky_C, inputs.emissivity),
      expected.loss_W,
    ]),
  );
});

test('a cloudless sky is colder than the air, the more so the drier it is', () => {
  fc.assert(
    fc.property(evenly(-15, 35), evenly(0.1, 0.8), evenly(0, 24), (air, humidity, hour) => {
      const damp = skyC(air, dewPointC(air, humidity + 0.1)!, hour);
      expect(damp).toBeLessThan(air);
      expect(damp).toBeGreaterThan(air - 45);
      fc.pre(dewPointC(air, humidity)! > -30);
      expect(skyC(air, dewPointC(air, humidity)!, hour)).toBeLessThan(damp);
    }),
  );
  expect(skyC(45, 45, 0)).toBe(45);
});

test('an open tub of 3 m² loses 2 to 4 kW, and wind and bathers make it more', () => {
  const calm: OpenWater = {
    areaM2: 3,
    waterC: 38,
    airC: 10,
    humidity: 0.7,
    windMPerS: 0,
    activity: UNDISTURBED,
  };
  const sky = skyC(10, dewPointC(10, 0.7)!, 0);
  expect(openLossW(calm, sky)).toBeGreaterThan(2000);
  const windy = openLossW({ ...calm, windMPerS: 1 }, sky);
  expect(windy).toBeGreaterThan(openLossW(calm, sky));
  expect(windy).toBeLessThan(4000);
  expect(openLossW({ ...calm, activity: IN_USE }, sky)).toBeGreaterThan(openLossW(calm, sky));
});

test('damp air above cool water takes no vapour from it', () => {
  const damp = {
    areaM2: 3,
    waterC: 12,
    airC: 28,
    humidity: 0.9,
    windMPerS: 1,
    activity: 1,
  };
  expect(evaporationW(damp)).toBe(0);
  expect(evaporationKgPerH(damp)).toBe(0);
  expect(openConvectionW(damp)).toBeLessThan(0);
});
