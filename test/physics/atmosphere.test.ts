import { expect, test } from 'vitest';
import { standardPressureHPa } from '../../model/atmosphere.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

test('air pressure falls with height as in the standard atmosphere', () => {
  const known = cases<{ altitude_m: number }, { pressure_Pa: number }>('atmosphere', 'pressure');
  hold(
    'standard pressure',
    4,
    known.map((c) => [standardPressureHPa(c.inputs.altitude_m) * 100, c.expected.pressure_Pa]),
  );
  expect(standardPressureHPa(0)).toBe(1013.25);
});
