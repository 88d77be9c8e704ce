import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { PointKind } from '../../model/points.ts';
import { unitOf } from '../../model/points.ts';
import {
  convertTo,
  isSenmlUnit,
  offeredUnits,
  senmlPrimaryUnits,
  senmlSecondaryUnits,
  toPrimary,
  unitsFor,
} from '../../model/units.ts';
import { hold, type Sample } from './margins.ts';
import { cases } from './reference.ts';

const kinds = Object.keys(unitOf) as PointKind[];

test('units are registered for SenML as RFC 8428 and RFC 8798 say', () => {
  const known = cases<
    { unit: string },
    {
      in_rfc8428_primary: boolean;
      in_rfc8798_primary: boolean;
      in_rfc8798_secondary: boolean;
      allowed_in_u_of_version_10: boolean;
    }
  >('units', 'registry');
  expect(known).toHaveLength(37);
  for (const { inputs, expected } of known) {
    expect({
      unit: inputs.unit,
      primary: senmlPrimaryUnits.has(inputs.unit),
      secondary: senmlSecondaryUnits.has(inputs.unit),
    }).toEqual({
      unit: inputs.unit,
      primary: expected.in_rfc8428_primary || expected.in_rfc8798_primary,
      secondary: expected.in_rfc8798_secondary,
    });
    expect(senmlPrimaryUnits.has(inputs.unit)).toBe(expected.allowed_in_u_of_version_10);
    expect(isSenmlUnit(inputs.unit)).toBe(
      expected.allowed_in_u_of_version_10 || expected.in_rfc8798_secondary,
    );
  }
});

test('no registered unit is missing, none is invented, and each secondary one has its scale', () => {
  const [known] = cases<
    object,
    {
      rfc8428_units: string[];
      rfc8798_units: string[];
      rfc8798_secondary_units: [unit: string, primary: string, scale: string, offset: number][];
    }
  >('units', 'registry counts');
  const { rfc8428_units, rfc8798_units, rfc8798_secondary_units } = known!.expected;
  expect([rfc8428_units.length, rfc8798_units.length, rfc8798_secondary_units.length]).toEqual([
    58, 8, 33,
  ]);
  const plain = (unit: string) => unit.replace('*', '');
  expect([...senmlPrimaryUnits].sort()).toEqual(
    [...rfc8428_units, ...rfc8798_units].map(plain).sort(),
  );
  expect([...senmlSecondaryUnits.keys()].sort()).toEqual(
    rfc8798_secondary_units.map(([unit]) => unit).sort(),
  );
  const samples: Sample[] = rfc8798_secondary_units.map(([unit, primary, scale, offset]) => {
    const [over, under = '1'] = scale.split('/');
    const ours = toPrimary(unit, 7)!;
    expect([unit, ours.unit]).toEqual([unit, primary]);
    return [ours.value, (7 * Number(over)) / Number(under) + offset];
  });
  hold('conversion of a unit', 33, samples);
});

test('secondary units become primary ones as RFC 8798 says', () => {
  const known = cases<
    { value: number; unit: string },
    { senml_unit: string; value_in_senml_unit: number }
  >('units', 'secondary conversion');
  hold(
    'conversion of a unit',
    9,
    known.map(({ inputs, expected }) => {
      const ours = toPrimary(inputs.unit, inputs.value)!;
      expect(ours.unit).toBe(expected.senml_unit);
      return [ours.value, expected.value_in_senml_unit];
    }),
  );
  expect(toPrimary('J', 1)).toBeNull();
});

test('a percent sign is a ratio, and nothing that a point measures', () => {
  const [known] = cases<{ record: { u: string; v: number } }, { as_percentage: number }>(
    'units',
    'percent',
  );
  const { u, v } = known!.inputs.record;
  expect(senmlPrimaryUnits.has(u)).toBe(true);
  expect(toPrimary('/100', known!.expected.as_percentage)).toEqual({ unit: '/', value: v });
  for (const kind of kinds) expect(convertTo(kind, u, v)).toBeNull();
});

test('volumes, flows and energies convert by the exact factors', () => {
  const known = cases<{ value: number; from: string; to: string }, { value: number }>(
    'units',
    'conversions',
  );
  /** Both directions: a factor from the kept unit is the inverse of ours. */
  const kept: Record<string, (value: number) => Sample> = {
    'kWh J': (value) => [convertTo('energy', 'J', value), 1],
    'kWh MJ': (value) => [convertTo('energy', 'MJ', value), 1],
    'MJ kWh': (value) => [convertTo('energy', 'MJ', 1), value],
    'US gallon L': (value) => [convertTo('volume', 'gal', 1), value],
    'm3 L': (value) => [convertTo('volume', 'm3', 1), value],
    'US gal/min L/min': (value) => [convertTo('flow', 'gal/min', 1), value],
    'L/min m3/s': (value) => [convertTo('flow', 'm3/s', value), 1],
    'm3/h L/min': (value) => [convertTo('flow', 'm3/h', 1), value],
    'L/s L/min': (value) => [convertTo('flow', 'l/s', 1), value],
  };
  expect(known.map((c) => c.inputs.value)).toEqual(new Array(9).fill(1));
  hold(
    'conversion of a unit',
    9,
    known.map((c) => kept[`${c.inputs.from} ${c.inputs.to}`]!(c.expected.value)),
  );
});

test('Fahrenheit and kelvin become Celsius', () => {
  const known = cases<{ t_F: number }, { t_C: number; T_K: number }>('units', 'temperatures');
  hold(
    'temperature in another unit',
    20,
    known.flatMap(({ inputs, expected }) => [
      [convertTo('temperature', 'degF', inputs.t_F), expected.t_C],
      [convertTo('temperature', 'K', expected.T_K), expected.t_C],
    ]),
  );
});

test('a flow is the same litres a minute whatever unit it comes in', () => {
  type Flow = { L_per_s: number; m3_per_s: number; L_per_min: number; m3_per_h: number };
  const known = cases<{ value: number; unit: string }, Flow>('units', 'flows');
  const names: Record<string, string> = {
    'US gal/min': 'gal/min',
    'L/min': 'l/min',
    'm3/h': 'm3/h',
  };
  hold(
    'flow in another unit',
    16,
    known.flatMap(({ inputs, expected }) => [
      [convertTo('flow', names[inputs.unit], inputs.value), expected.L_per_min],
      [convertTo('flow', 'l/s', expected.L_per_s), expected.L_per_min],
      [convertTo('flow', 'm3/s', expected.m3_per_s), expected.L_per_min],
      [convertTo('flow', 'm3/h', expected.m3_per_h), expected.L_per_min],
    ]),
  );
});

test('a value without a unit, or in the kept one, stays as it is to the last bit', () => {
  fc.assert(
    fc.property(
      fc.constantFrom(...kinds),
      fc.double({ noNaN: true, noDefaultInfinity: true }),
      (kind, value) => {
        expect(convertTo(kind, undefined, value)).toBe(value);
        expect(convertTo(kind, unitOf[kind], value)).toBe(value);
      },
    ),
  );
  expect(convertTo('temperature', 'Cel', 37.4)).toBe(37.4);
  expect(convertTo('irradiance', 'W/m2', 812.5)).toBe(812.5);
  expect(convertTo('flag', '/', 1)).toBe(1);
});

test('decimals stay decimals', () => {
  expect(convertTo('power', 'kW', 2.2)).toBe(2200);
  expect(convertTo('energy', 'Wh', 250)).toBe(0.25);
  expect(convertTo('voltage', 'mV', 12_340)).toBe(12.34);
  expect(convertTo('temperature', 'degF', 104)).toBe(40);
  expect(convertTo('flow', 'l/h', 252)).toBe(4.2);
  expect(convertTo('volume', 'm3', 0.013)).toBe(13);
});

test('a unit that does not suit the kind is refused', () => {
  expect(convertTo('temperature', 'C', 20)).toBeNull(); // coulomb
  expect(convertTo('temperature', 'F', 68)).toBeNull(); // farad
  expect(convertTo('temperature', 'W', 20)).toBeNull();
  expect(convertTo('energy', 'W', 20)).toBeNull();
  expect(convertTo('power', 'kWh', 20)).toBeNull();
  expect(convertTo('flow', 'l', 20)).toBeNull();
  expect(convertTo('flow', 'bar', 20)).toBeNull();
  expect(convertTo('flag', 'W', 1)).toBeNull();
  expect(convertTo('flag', '/100', 100)).toBeNull();
  expect(convertTo('flow', 'constructor', 1)).toBeNull();
});

test('what is no finite number stays none in any unit', () => {
  for (const value of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
    for (const unit of [undefined, 'degF']) {
      expect(convertTo('temperature', unit, value)).toBeNull();
    }
  }
  expect(convertTo('volume', 'm3', 1e308)).toBeNull(); // beyond the greatest number in litres
});

test('the units that a kind takes are the ones that are listed for it', () => {
  const everyUnit = [
    ...senmlPrimaryUnits,
    ...senmlSecondaryUnits.keys(),
    ...kinds.flatMap(unitsFor),
  ];
  for (const kind of kinds) {
    const taken = everyUnit.filter((unit) => convertTo(kind, unit, 1) !== null);
    expect([...new Set(taken)].sort()).toEqual([...unitsFor(kind)].sort());
  }
  expect(unitsFor('flag')).toEqual(['/']);
  expect(unitsFor('power')).toEqual(['W', 'kW']);
  expect(unitsFor('temperature')).toEqual(['°C', 'Cel', 'degC', 'K', 'degF']);
});

test('of units with several names one is offered, the one that people read first', () => {
  expect(offeredUnits('temperature')).toEqual(['°C', 'K', 'degF']);
  expect(offeredUnits('irradiance')).toEqual(['W/m²']);
  for (const kind of kinds.filter((each) => each !== 'flag')) {
    const offered = offeredUnits(kind);
    expect(offered[0]).toBe(unitOf[kind]);
    // Whatever else is taken reads as one of them does.
    for (const unit of unitsFor(kind)) {
      const same = offered.filter((each) =>
        [0, 1, 36.6].every(
          (value) =>
            Math.abs(convertTo(kind, each, value)! - convertTo(kind, unit, value)!) <
            1e-9 * Math.abs(convertTo(kind, unit, value)!) + 1e-12,
        ),
      );
      expect(same, `${unit} of ${kind}`).toHaveLength(1);
    }
  }
});
