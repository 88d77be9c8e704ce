import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  arrayPower,
  b0From50,
  capacityRate,
  efficiency,
  incidenceModifier,
  rowOutletC,
  specificPower,
  stagnationC,
  tableModifier,
} from '../../model/collector.ts';
import {
  atFlow,
  identicalInSeries,
  inletPower,
  inSeries,
  seriesFactor,
  seriesLoss,
  toInletForm,
} from '../../model/collectors-in-series.ts';
import { evenly } from './evenly.ts';
import { hold } from './margins.ts';
import { cases } from './reference.ts';

interface Rating {
  eta0: number;
  a1_W_per_m2K: number;
  a2_W_per_m2K2: number;
}

test('efficiency falls with the difference to the air as ISO 9806 has it', () => {
  const known = cases<
    Rating & { tm_C: number; ta_C: number; G_W_per_m2: number },
    { eta: number; specific_power_W_per_m2: number }
  >('collector', 'efficiency');
  hold(
    'collector efficiency',
    64,
    known.flatMap(({ inputs, expected }) => {
      const { eta0, a1_W_per_m2K: a1, a2_W_per_m2K2: a2, G_W_per_m2: sun } = inputs;
      const above = inputs.tm_C - inputs.ta_C;
      return [
        [efficiency(eta0, a1, a2, sun, above), expected.eta],
        [specificPower(eta0, a1, a2, sun, above) / 1000, expected.specific_power_W_per_m2 / 1000],
      ] as const;
    }),
  );
  expect(efficiency(0.8, 4, 0.01, 0, 10)).toBeNull();
});

test('power at an inlet temperature and flow meets equation and heat balance at once', () => {
  interface Inputs extends Rating {
    area_m2: number;
    t_in_C: number;
    G_W_per_m2: number;
    ta_C: number;
    mass_flow_kg_per_s: number;
    cp_J_per_kgK: number;
  }
  const known = cases<Inputs, { tm_C: number; t_out_C: number; power_W: number }>(
    'collector',
    'power at an inlet temperature',
  );
  hold(
    'collector power',
    12,
    known.flatMap(({ inputs, expected }) => {
      const rate = inputs.mass_flow_kg_per_s * inputs.cp_J_per_kgK;
      const array = {
        count: 1,
        areaM2: inputs.area_m2,
        eta0: inputs.eta0,
        a1: inputs.a1_W_per_m2K,
        a2: inputs.a2_W_per_m2K2,
      };
      const outC = rowOutletC(array, inputs.G_W_per_m2, inputs.ta_C, inputs.t_in_C, rate);
      const { powerW } = arrayPower(array, {
        sunBeam: inputs.G_W_per_m2,
        sunDiffuse: 0,
        incidenceDeg: 0,
        airC: inputs.ta_C,
        inletC: inputs.t_in_C,
        flowLPerMin: rate / capacityRate(1),
      });
      return [
        [(outC + inputs.t_in_C) / 2, expected.tm_C],
        [outC, expected.t_out_C],
        [rate * (outC - inputs.t_in_C), expected.power_W],
        [powerW, expected.power_W],
      ] as const;
    }),
  );
});

test('a collector at rest gets as hot as its losses allow', () => {
  const known = cases<
    Rating & { G_W_per_m2: number; ta_C: number },
    { t_stagnation_C: number; dT_stagnation_K: number }
  >('collector', 'stagnation');
  hold(
    'stagnation',
    30,
    known.flatMap(({ inputs, expected }) => {
      const { eta0, a1_W_per_m2K: a1, a2_W_per_m2K2: a2, G_W_per_m2: sun, ta_C: airC } = inputs;
      const ours = stagnationC(eta0, a1, a2, sun, airC);
      return [
        [ours, expected.t_stagnation_C],
        [ours! - airC, expected.dT_stagnation_K],
      ] as const;
    }),
  );
  expect(stagnationC(0.8, 4, 0.01, 0, 12)).toBe(12);
  expect(stagnationC(0.8, 0, 0, 800, 12)).toBeNull();
});

test('a rating whose losses fall with temperature still balances at rest', () => {
  const [rating] = cases<unknown, Rating & { iam_b0: number; iam_b1: number }>(
    'collector',
    'parameter set',
  );
  const { eta0, a1_W_per_m2K: a1, a2_W_per_m2K2: a2, iam_b0, iam_b1 } = rating!.expected;
  expect(a2).toBeLessThan(0);
  const aboveK = stagnationC(eta0, a1, a2, 1000, 30)! - 30;
  expect(specificPower(eta0, a1, a2, 1000, aboveK)).toBeCloseTo(0, 9);
  expect(incidenceModifier(iam_b0, 60, iam_b1)).toBeCloseTo(1 - iam_b0 + iam_b1, 12);
});

test('collectors in a row add up to one, two different ones and N equal ones', () => {
  interface Flow {
    mass_flow_kg_per_s: number;
    cp_J_per_kgK: number;
    G_W_per_m2: number;
    ta_C: number;
    t_in_C: number;
  }
  interface Two extends Flow {
    A1_m2: number;
    FRta_1: number;
    FRUL_1_W_per_m2K: number;
    A2_m2: number;
    FRta_2: number;
    FRUL_2_W_per_m2K: number;
  }
  interface Expected {
    K: number;
    factor: number;
    FRta_combined: number;
    FRUL_combined_W_per_m2K: number;
    power_W: number;
    t_between_C: number;
    t_out_C: number;
  }
  const two = cases<Two, Expected>('collector', 'two in series');
  hold(
    'collectors in series',
    18,
    two.flatMap(({ inputs, expected }) => {
      const rate = inputs.mass_flow_kg_per_s * inputs.cp_J_per_kgK;
      const first = { areaM2: inputs.A1_m2, frta: inputs.FRta_1, frul: inputs.FRUL_1_W_per_m2K };
      const second = { areaM2: inputs.A2_m2, frta: inputs.FRta_2, frul: inputs.FRUL_2_W_per_m2K };
      const both = inSeries(first, second, rate);
      const { G_W_per_m2: sun, ta_C: airC, t_in_C: inC } = inputs;
      const power = inletPower(both, sun, airC, inC);
      return [
        [seriesLoss(second, rate), expected.K],
        [both.frta, expected.FRta_combined],
        [both.frul, expected.FRUL_combined_W_per_m2K],
        [power, expected.power_W],
        [inC + inletPower(first, sun, airC, inC) / rate, expected.t_between_C],
        [inC + power / rate, expected.t_out_C],
      ] as const;
    }),
  );
  interface Equal extends Flow {
    N: number;
    A_each_m2: number;
    FRta: number;
    FRUL_W_per_m2K: number;
  }
  const equal = cases<Equal, Expected>('collector', 'identical in series');
  hold(
    'collectors in series',
    18,
    equal.flatMap(({ inputs, expected }) => {
      const rate = inputs.mass_flow_kg_per_s * inputs.cp_J_per_kgK;
      const one = { areaM2: inputs.A_each_m2, frta: inputs.FRta, frul: inputs.FRUL_W_per_m2K };
      const row = identicalInSeries(one, inputs.N, rate);
      const power = inletPower(row, inputs.G_W_per_m2, inputs.ta_C, inputs.t_in_C);
      return [
        [seriesLoss(one, rate), expected.K],
        [seriesFactor(seriesLoss(one, rate), inputs.N), expected.factor],
        [row.frta, expected.FRta_combined],
        [row.frul, expected.FRUL_combined_W_per_m2K],
        [power, expected.power_W],
        [inputs.t_in_C + power / rate, expected.t_out_C],
      ] as const;
    }),
  );
});

test('figures for the mean temperature turn into figures for the inlet', () => {
  const known = cases<
    {
      area_m2: number;
      eta0_mean: number;
      a1_mean_W_per_m2K: number;
      mass_flow_kg_per_s: number;
      cp_J_per_kgK: number;
    },
    { FRta: number; FRUL_W_per_m2K: number }
  >('collector', 'mean to inlet');
  hold(
    'mean to inlet temperature',
    4,
    known.flatMap(({ inputs, expected }) => {
      const rate = inputs.mass_flow_kg_per_s * inputs.cp_J_per_kgK;
      const one = toInletForm(inputs.area_m2, inputs.eta0_mean, inputs.a1_mean_W_per_m2K, rate);
      return [
        [one.frta, expected.FRta],
        [one.frul, expected.FRUL_W_per_m2K],
      ] as const;
    }),
  );
});

test('glass lets slanting light through as its b0 tells', () => {
  const known = cases<{ b0: number; b1?: number; theta_deg: number }, { K: number }>(
    'collector',
    'modifier',
  );
  hold(
    'incidence-angle modifier',
    22,
    known.map(({ inputs: { b0, b1, theta_deg }, expected }) => [
      incidenceModifier(b0, theta_deg, b1),
      expected.K,
    ]),
  );
  const from50 = cases<{ K_at_50_deg: number }, { b0: number }>('collector', 'b0 from 50 degrees');
  hold(
    'incidence-angle modifier',
    3,
    from50.map((c) => [b0From50(c.inputs.K_at_50_deg), c.expected.b0]),
  );
});

test('a table of modifiers is met at its angles and keeps near the curve between them', () => {
  const known = cases<{ b0: number; b1?: number; theta_deg: number }, { K: number }>(
    'collector',
    'modifier',
  ).filter(({ inputs }) => inputs.b0 === 0.1 && inputs.b1 === undefined);
  const angles = known.map((c) => c.inputs.theta_deg).filter((angle) => angle !== 45);
  const modifiers = known.filter((c) => c.inputs.theta_deg !== 45).map((c) => c.expected.K);
  hold(
    'modifier between a table’s angles',
    6,
    known.map((c) => [tableModifier(angles, modifiers, c.inputs.theta_deg), c.expected.K]),
  );
  expect(tableModifier([10, 70], [0.9, 0.7], 5)).toBe(0.9);
  expect(tableModifier([10, 70], [0.9, 0.7], 80)).toBeCloseTo(0.35, 12);
  expect(tableModifier([10, 70], [0.9, 0.7], 90)).toBe(0);
  expect(tableModifier([0, 90], [1, 0], 90)).toBe(0);
});

const rating = fc.record({
  areaM2: evenly(0.3, 5),
  eta0: evenly(0.3, 0.9),
  a1: evenly(0, 20),
  a2: evenly(0, 0.05),
});
const count = fc.integer({ min: 1, max: 12 });
const conditions = fc.record({
  sunBeam: evenly(0, 1000),
  sunDiffuse: evenly(0, 300),
  incidenceDeg: evenly(0, 90),
  airC: evenly(-20, 40),
  inletC: evenly(0, 45),
  flowLPerMin: evenly(0.3, 20),
});

test('what a row gives is what each of its collectors loses of the sun to the air', () => {
  fc.assert(
    fc.property(rating, count, conditions, (one, n, now) => {
      const { powerW, outletC } = arrayPower({ ...one, count: n }, now);
      const rate = capacityRate(now.flowLPerMin);
      expect(powerW).toBeCloseTo(rate * (outletC! - now.inletC), 6);
      const { a1, a2, eta0, areaM2 } = one;
      const sun =
        incidenceModifier(0.1, now.incidenceDeg) * now.sunBeam +
        incidenceModifier(0.1, 60) * now.sunDiffuse;
      let inC = now.inletC;
      let sum = 0;
      for (let i = 1; i <= n; i++) {
        const outC = rowOutletC({ ...one, count: i }, sun, now.airC, now.inletC, rate);
        sum += areaM2 * specificPower(eta0, a1, a2, sun, (inC + outC) / 2 - now.airC);
        inC = outC;
      }
      expect(Math.abs(sum - powerW)).toBeLessThan(1e-6 * (1 + Math.abs(powerW)));
    }),
  );
});

test('a linear row steps to what the series formula gives', () => {
  fc.assert(
    fc.property(rating, count, conditions, ({ areaM2, eta0, a1 }, n, now) => {
      const rate = capacityRate(now.flowLPerMin);
      const row = identicalInSeries(toInletForm(areaM2, eta0, a1, rate), n, rate);
      const stepped = rowOutletC(
        { areaM2, eta0, a1, a2: 0, count: n },
        now.sunBeam,
        now.airC,
        now.inletC,
        rate,
      );
      const formula = now.inletC + inletPower(row, now.sunBeam, now.airC, now.inletC) / rate;
      expect(stepped).toBeCloseTo(formula, 6);
    }),
  );
});

test('a slower flow brings less heat from hotter water', () => {
  const plate = fc.record({
    areaM2: evenly(0.5, 2.5),
    eta0: evenly(0.5, 0.9),
    a1: evenly(1, 8),
    a2: evenly(0, 0.03),
  });
  const sunny = fc.record({
    sunBeam: evenly(500, 1000),
    sunDiffuse: evenly(0, 300),
    incidenceDeg: evenly(0, 50),
    airC: evenly(5, 20),
    inletC: evenly(20, 38),
    flowLPerMin: evenly(3, 12),
  });
  fc.assert(
    fc.property(plate, count, sunny, (one, n, now) => {
      const array = { ...one, count: n };
      const fast = arrayPower(array, now);
      const slow = arrayPower(array, { ...now, flowLPerMin: now.flowLPerMin / 2 });
      fc.pre(slow.powerW > 0);
      expect(slow.powerW).toBeLessThan(fast.powerW);
      expect(slow.outletC!).toBeGreaterThan(fast.outletC!);
    }),
  );
});

test('a rating is taken to another flow and back', () => {
  fc.assert(
    fc.property(rating, conditions, ({ areaM2, eta0, a1 }, now) => {
      const rate = capacityRate(now.flowLPerMin);
      const one = { areaM2, frta: eta0, frul: a1 };
      const there = atFlow(one, rate, rate / 3);
      if (seriesLoss(one, rate) >= 1) {
        expect(there).toBeNull();
        return;
      }
      expect(there!.frul).toBeLessThanOrEqual(a1 * (1 + 1e-12));
      fc.pre(seriesLoss(there!, rate / 3) < 1 - 1e-9);
      const back = atFlow(there!, rate / 3, rate)!;
      expect(back.frta).toBeCloseTo(eta0, 6);
      expect(back.frul).toBeCloseTo(a1, 5);
    }),
  );
});

test('at a third of the flow a flat plate keeps 94 % of its figures', () => {
  // 0.9 and 0.3 l/min for each square metre, the span of usual tub loops
  const one = { areaM2: 1, frta: 0.75, frul: 4 };
  const slow = atFlow(one, capacityRate(0.9), capacityRate(0.3))!;
  expect(slow.frta / one.frta).toBeCloseTo(0.94, 2);
  expect(slow.frul / one.frul).toBeCloseTo(slow.frta / one.frta, 12);
});

test('no flow brings no heat, and light from behind is no beam', () => {
  const array = { count: 5, areaM2: 0.8, eta0: 0.74, a1: 3.9, a2: 0.012 };
  const now = {
    sunBeam: 800,
    sunDiffuse: 100,
    incidenceDeg: 20,
    airC: 15,
    inletC: 36,
    flowLPerMin: 0,
  };
  expect(arrayPower(array, now)).toEqual({ powerW: 0, outletC: null });
  const [from90, from120] = [90, 120].map(
    (incidenceDeg) => arrayPower(array, { ...now, incidenceDeg, flowLPerMin: 4 }).powerW,
  );
  expect(from90).toBe(from120);
});
