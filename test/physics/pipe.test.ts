import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  frontSeconds,
  type Insulation,
  insulatedPipeWPerMK,
  insulationMKPerW,
  PIPE_W_PER_M_K,
  pipeEndC,
  pipeLitres,
  pipeStartC,
  surfaceMKPerW,
  transitSeconds,
} from '../../model/pipe.ts';
import { evenly } from './evenly.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

interface Insulated {
  d_pipe_outer_m: number;
  d_insulation_outer_m: number;
  k_W_per_mK: number;
  t_pipe_C: number;
  t_ambient_C: number;
  h_outer_W_per_m2K: number | null;
}

const insulationOf = (inputs: Insulated): Insulation => ({
  pipeM: inputs.d_pipe_outer_m,
  outerM: inputs.d_insulation_outer_m,
  wPerMK: inputs.k_W_per_mK,
  surfaceWPerM2K: inputs.h_outer_W_per_m2K,
});

test('an insulated pipe loses what ISO 12241 works out, step by step', () => {
  interface Expected {
    R_insulation_mK_per_W: number;
    R_surface_mK_per_W: number;
    heat_loss_W_per_m: number;
    U_linear_W_per_mK: number;
  }
  const known = cases<Insulated, Expected>('pipe', 'insulated');
  hold(
    'insulated pipe',
    20,
    known.flatMap(({ inputs, expected }) => {
      const insulation = insulationOf(inputs);
      const wPerMK = insulatedPipeWPerMK(insulation);
      return [
        [insulationMKPerW(insulation), expected.R_insulation_mK_per_W],
        [surfaceMKPerW(insulation), expected.R_surface_mK_per_W],
        [wPerMK, expected.U_linear_W_per_mK],
        [wPerMK * (inputs.t_pipe_C - inputs.t_ambient_C), expected.heat_loss_W_per_m],
      ] as const;
    }),
  );
});

test('an unknown pipe is taken for a thin one in foam', () => {
  const known = cases<Insulated, { U_linear_W_per_mK: number }>('pipe', 'insulated');
  const foam = known.find(
    ({ inputs }) => inputs.d_insulation_outer_m === 0.048 && inputs.h_outer_W_per_m2K === 10,
  );
  expect(PIPE_W_PER_M_K).toBeCloseTo(foam!.expected.U_linear_W_per_mK, 1);
});

interface Drop {
  length_m: number;
  U_linear_W_per_mK: number;
  mass_flow_kg_per_s: number;
  cp_J_per_kgK: number;
  t_in_C: number;
  t_ambient_C: number;
}

test('water cools along a pipe, and back again by the reverse', () => {
  const known = cases<Drop, { t_out_C: number; heat_loss_W: number }>('pipe', 'temperature drop');
  hold(
    'temperature drop along a pipe',
    6,
    known.flatMap(({ inputs, expected }) => {
      const loss = inputs.length_m * inputs.U_linear_W_per_mK;
      const rate = inputs.mass_flow_kg_per_s * inputs.cp_J_per_kgK;
      const { t_in_C: inC, t_ambient_C: airC } = inputs;
      const endC = pipeEndC(inC, airC, loss, rate);
      return [
        [endC, expected.t_out_C],
        [rate * (inC - endC), expected.heat_loss_W],
        [pipeStartC(expected.t_out_C, airC, loss, rate), inC],
      ] as const;
    }),
  );
});

test('a pipe carries water between its own temperature and the air’s', () => {
  const celsius = evenly(-20, 120);
  fc.assert(
    fc.property(celsius, celsius, evenly(0, 50), evenly(20, 2000), (inC, airC, loss, rate) => {
      const endC = pipeEndC(inC, airC, loss, rate);
      expect(endC).toBeGreaterThanOrEqual(Math.min(inC, airC) - 1e-9);
      expect(endC).toBeLessThanOrEqual(Math.max(inC, airC) + 1e-9);
    }),
  );
});

test('a hot front arrives as late as it did on a test bench', () => {
  const known = cases<{ time_s: number }, { in_C: number; out_C: number }>('pipe', 'front');
  const litres = pipeLitres(39, 0.05248);
  const steelM3 = (Math.PI / 4) * (0.0603 ** 2 - 0.05248 ** 2) * 39;
  const wallKJPerK = steelM3 * 7800 * 0.48;
  const flowLPerMin = (0.589 / 0.993) * 60; // 0.993 kg/l at 38 °C, half-way between cold and hot
  /** Mean time of arrival of a rise: the area above it, over its height. */
  const arrival = (values: number[]) => {
    const [first, last] = [values[0]!, Math.max(...values)];
    return known.slice(1).reduce((sum, { inputs }, i) => {
      const missing = (last - (values[i]! + values[i + 1]!) / 2) / (last - first);
      return sum + missing * (inputs.time_s - known[i]!.inputs.time_s);
    }, 0);
  };
  const measured =
    arrival(known.map((c) => c.expected.out_C)) - arrival(known.map((c) => c.expected.in_C));
  expect(known).toHaveLength(73);
  hold('a front through a pipe', 1, [[frontSeconds(litres, wallKJPerK, flowLPerMin), measured]]);
  expect(transitSeconds(litres, flowLPerMin)!).toBeLessThan(0.8 * measured);
});

test('without flow nothing arrives', () => {
  expect(transitSeconds(3, 0)).toBeNull();
  expect(frontSeconds(3, 2, 0)).toBeNull();
});
