import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type CoolDown, coolDown, lossOfNights } from '../../model/cool-down.ts';
import { evenly } from './evenly.ts';
import { hold } from './margins.ts';
import { anyNight, type NightPlan, nightOf, plainNight } from './nights.ts';
import { cases } from './reference.ts';

const HOUR = 3_600_000;
const SEED = 20_260_301;

const reasons = (plan: Partial<NightPlan>, disturb?: (hour: number) => number) =>
  coolDown(nightOf({ ...plainNight, ...plan }, disturb)).refusals.map(({ rule }) => rule);

test('the regression finds the loss coefficient of a cooling curve', () => {
  const known = cases<
    {
      t_start_C: number;
      t_end_C: number;
      t_ambient_C: number;
      hours: number;
      mass_kg: number;
      c_J_per_kgK: number;
    },
    { UA_W_per_K: number; time_constant_h: number }
  >('cool-down', 'cooling curve');
  hold(
    'loss coefficient of a cooling curve',
    4,
    known.flatMap(({ inputs, expected }) => {
      const { t_start_C: start, t_end_C: end, t_ambient_C: air, hours } = inputs;
      const minutes = Array.from({ length: hours * 60 + 1 }, (_, i) => i);
      const capacityWhPerK = (inputs.mass_kg * inputs.c_J_per_kgK) / 3600;
      const { found } = coolDown({
        tub: {
          t: Float64Array.from(minutes, (minute) => minute * 60_000),
          v: Float64Array.from(
            minutes,
            (minute) =>
              air + (start - air) * ((end - air) / (start - air)) ** (minute / 60 / hours),
          ),
        },
        air,
        tubUncertaintyK: 0,
        airUncertaintyK: 0,
        capacityWhPerK,
        capacityUncertaintyWhPerK: 0,
      });
      return [
        [found?.wPerK, expected.UA_W_per_K],
        [capacityWhPerK / found!.wPerK, expected.time_constant_h],
      ] as const;
    }),
  );
});

test('of two thousand made-up nights 95 in 100 hold the truth within twice their uncertainty', () => {
  const plans = fc.sample(anyNight, { numRuns: 2000, seed: SEED });
  const scores = plans.flatMap((plan) => {
    const { found } = coolDown(nightOf(plan));
    return found ? [(found.wPerK - plan.lossWPerK) / found.uncertaintyWPerK] : [];
  });
  const within = scores.filter((score) => Math.abs(score) <= 2).length / scores.length;
  const mean = scores.reduce((sum, score) => sum + score, 0) / scores.length;
  const rms = Math.sqrt(scores.reduce((sum, score) => sum + score * score, 0) / scores.length);
  console.info(
    `cool-down, seed ${SEED}: ${scores.length} of ${plans.length} nights good enough, ` +
      `${(100 * within).toFixed(1)} % within 2u, mean ${mean.toFixed(2)}u, rms ${rms.toFixed(2)}u`,
  );
  expect(scores.length).toBeGreaterThan(900);
  expect(within).toBeGreaterThanOrEqual(0.95);
  expect(Math.abs(mean)).toBeLessThan(0.1); // no bias
  expect(rms).toBeGreaterThan(0.6); // nor is the uncertainty said to be larger than it is
}, 60_000);

test('a night is valued alike, however unevenly it was read', () => {
  for (const resolutionK of [0, 0.0625, 0.1]) {
    const evenly = coolDown(nightOf({ ...plainNight, resolutionK })).found!;
    for (const pattern of ['uneven', 'on-change', 'dense-then-sparse'] as const) {
      for (let seed = 1; seed <= 20; seed++) {
        const { found } = coolDown(nightOf({ ...plainNight, resolutionK, pattern, seed }));
        expect(Math.abs(found!.wPerK - evenly.wPerK)).toBeLessThan(
          Math.max(1e-3, 2 * found!.randomWPerK),
        );
      }
    }
  }
});

test('the same night read a thousand times more often in its first hour stays the same', () => {
  const { tub, ...rest } = nightOf({ ...plainNight, resolutionK: 0.0625 });
  const often: [number, number][] = [];
  for (let i = 0; i < tub.t.length; i++) {
    const copies = tub.t[i]! - tub.t[0]! < HOUR ? 1000 : 1;
    for (let k = 0; k < copies; k++) often.push([tub.t[i]! + k, tub.v[i]!]);
  }
  const crowded = {
    t: Float64Array.from(often, ([t]) => t),
    v: Float64Array.from(often, ([, v]) => v),
  };
  const [once, thousand] = [tub, crowded].map((trace) => coolDown({ ...rest, tub: trace }).found!);
  expect(thousand!.wPerK).toBeCloseTo(once!.wPerK, 3);
  expect(thousand!.randomWPerK).toBeCloseTo(once!.randomWPerK, 3);
});

test('coarse steps of the sensor cost accuracy as said, not more', () => {
  for (const resolutionK of [0.0625, 0.1, 0.125, 0.25, 0.5]) {
    for (let seed = 1; seed <= 40; seed++) {
      const plan = {
        ...plainNight,
        capacityWhPerK: 800,
        lossWPerK: 25,
        startC: 37 + seed / 40,
        noiseK: 0.02,
        resolutionK,
        seed,
      };
      const { found, refusals } = coolDown(nightOf(plan));
      expect(refusals).toEqual([]);
      expect(Math.abs(found!.wPerK - 25)).toBeLessThan(3 * found!.randomWPerK);
      expect(found!.randomWPerK).toBeLessThan(0.04 * 25);
    }
  }
});

test('air that moves is allowed for where it was read', () => {
  for (const [airDriftK, airBendK] of [
    [1.9, 0],
    [-1.9, 0],
    [0, 1.3],
    [1, -1],
  ] as const) {
    const plan = { ...plainNight, airDriftK, airBendK, airTold: 'readings' } as const;
    expect(coolDown(nightOf(plan)).found!.wPerK).toBeCloseTo(10, 2);
  }
});

test('a longer night is judged by its last six hours', () => {
  const { found } = coolDown(nightOf({ ...plainNight, hours: 10 }));
  expect(found!.to - found!.from).toBe(6 * HOUR);
  expect(found!.wPerK).toBeCloseTo(10, 6);
  const bathAtNine = (hour: number) => (hour < 3 ? 2 : 0);
  expect(reasons({ hours: 10 }, bathAtNine)).toEqual([]);
  expect(reasons({ hours: 8 }, bathAtNine)).toContain('jump');
});

test('what is the same every night is kept apart from what is not', () => {
  const quiet = coolDown(nightOf(plainNight)).found!;
  const noisy = coolDown(nightOf({ ...plainNight, noiseK: 0.1 })).found!;
  expect(noisy.randomWPerK).toBeGreaterThan(5 * quiet.randomWPerK);
  expect(noisy.systematicWPerK).toBeCloseTo(quiet.systematicWPerK, 1);
  for (const night of [quiet, noisy]) {
    expect(night.uncertaintyWPerK).toBeCloseTo(
      Math.hypot(night.randomWPerK, night.systematicWPerK),
      12,
    );
  }
});

test('a night that wavers is trusted less than one that is only noisy', () => {
  const noisy = coolDown(nightOf({ ...plainNight, noiseK: 0.08 })).found!;
  const wavering = coolDown(nightOf(plainNight, (hour) => 0.05 * Math.sin(Math.PI * hour))).found!;
  expect(wavering.residualK).toBeCloseTo(noisy.residualK, 2);
  expect(wavering.randomWPerK).toBeGreaterThan(2 * noisy.randomWPerK);
});

test('a window must last three hours', () => {
  expect(reasons({ hours: 2.9, lossWPerK: 20 })).toEqual(['too-short']);
  expect(reasons({ hours: 3.1, lossWPerK: 20 })).toEqual([]);
});

/** The same night without the tub's or the air's readings from one hour to another. */
function without(what: 'tub' | 'air', from: number, to: number): string[] {
  const night = nightOf({ ...plainNight, airTold: 'readings' });
  const trace = night[what] as { t: Float64Array; v: Float64Array };
  const start = trace.t[0]!;
  const kept = [...trace.t.keys()].filter((i) => {
    const hour = (trace.t[i]! - start) / HOUR;
    return hour <= from || hour >= to;
  });
  const cut = {
    t: Float64Array.from(kept, (i) => trace.t[i]!),
    v: Float64Array.from(kept, (i) => trace.v[i]!),
  };
  return coolDown({ ...night, [what]: cut }).refusals.map(({ rule }) => rule);
}

test('the tub must have been read throughout, give or take an hour', () => {
  expect(without('tub', 2, 3.7)).toEqual(['gap']);
  expect(without('tub', 2, 3.3)).toEqual([]);
});

test('the air must be known throughout where readings tell it', () => {
  expect(without('air', 2, 3.7)).toEqual(['air-unknown']);
  expect(without('air', 2, 3.3)).toEqual([]);
  expect(without('air', -1, 9)).toEqual(['air-unknown']);
});

test('the air may move by four kelvin', () => {
  expect(reasons({ airDriftK: 2.1, airTold: 'readings' })).toEqual(['air-moves']);
  expect(reasons({ airDriftK: -2.1, airTold: 'readings' })).toEqual(['air-moves']);
  expect(reasons({ airDriftK: 1.9, airTold: 'readings' })).toEqual([]);
});

test('the tub must stay ten kelvin above the air', () => {
  const small = { startC: 24, lossWPerK: 20 };
  expect(reasons({ ...small, airC: 13.3 })).toEqual(['air-too-warm']); // 10.7 K, in the end 9.7 K
  expect(reasons({ ...small, airC: 12.7 })).toEqual([]); // 10.2 K in the end
});

test('the tub must fall by half a kelvin and by eight steps of its sensor', () => {
  expect(reasons({ lossWPerK: 3.4 })).toEqual(['drop-too-small']); // 0.47 K
  expect(reasons({ lossWPerK: 3.9 })).toEqual([]); // 0.54 K
  expect(reasons({ lossWPerK: 13, resolutionK: 0.25 })).toEqual(['drop-too-small']); // 1.8 K
  expect(reasons({ lossWPerK: 16, resolutionK: 0.25 })).toEqual([]); // 2.2 K
});

test('a tub that rises with everything off is no cool-down', () => {
  const { found, refusals } = coolDown(nightOf(plainNight, (hour) => hour));
  expect(found).toBeNull();
  const rose = refusals.find(({ rule }) => rule === 'drop-too-small');
  expect(rose?.says).toMatch(/^the tub rose by 4\.\d\d K$/);
});

test('a bath or a top-up shows as a jump', () => {
  const step = (k: number) => (hour: number) => (hour < 3.02 ? 0 : -k);
  expect(reasons({}, step(0.4))).toContain('jump');
  expect(reasons({}, step(0.2))).toEqual([]);
  expect(reasons({ lossWPerK: 20, resolutionK: 0.25 }, step(1))).toContain('jump');
  expect(reasons({ lossWPerK: 20, resolutionK: 0.25 })).toEqual([]); // its own steps are none
});

test('a tub that does not cool evenly is not believed', () => {
  const wave = (k: number) => (hour: number) => k * Math.sin(Math.PI * hour);
  expect(reasons({}, wave(0.16))).toEqual(['not-straight']);
  expect(reasons({}, wave(0.12))).toEqual([]);
});

test('without readings there is no answer, and a reason', () => {
  const night = nightOf(plainNight);
  for (const count of [0, 1, 2]) {
    const tub = { t: night.tub.t.subarray(0, count), v: night.tub.v.subarray(0, count) };
    const { found, refusals } = coolDown({ ...night, tub });
    expect(found).toBeNull();
    expect(refusals.map(({ rule }) => rule)).toContain('too-short');
  }
});

const nightWith = (wPerK: number, randomWPerK = 0.1, systematicWPerK = 0.4): CoolDown => ({
  from: 1000,
  to: 2000,
  wPerK,
  uncertaintyWPerK: Math.hypot(randomWPerK, systematicWPerK),
  randomWPerK,
  systematicWPerK,
  tubC: 37,
  airC: 10,
  dropK: 1.2,
  residualK: 0.02,
});

test('the median of the nights shrugs off a stormy one', () => {
  const nights = [9.8, 10.1, 10, 14, 9.9].map((wPerK) => nightWith(wPerK));
  const loss = lossOfNights(nights)!;
  expect(loss.wPerK).toBe(10);
  expect(loss.nights).toBe(5);
  expect(loss.spreadWPerK).toBeCloseTo(0.148, 3);
  expect(lossOfNights(nights.slice(0, 4))).toBeNull();
  expect(lossOfNights(nights.slice(0, 2), 1)!.wPerK).toBeCloseTo(9.95, 12);
  expect(lossOfNights([], 0)).toBeNull();
});

test('more nights do not average out what is the same every night', () => {
  const nights = Array.from({ length: 400 }, (_, i) => nightWith(10 + (i % 2)));
  const loss = lossOfNights(nights)!;
  expect(loss.uncertaintyWPerK).toBeGreaterThan(0.4);
  expect(loss.uncertaintyWPerK).toBeLessThan(0.41);
});

/** How windy a night is: three throws make something like a bell. */
const gust = fc.tuple(evenly(-1, 1), evenly(-1, 1), evenly(-1, 1)).map(([a, b, c]) => a + b + c);

test('of two hundred sets of nights 95 in 100 hold the truth within twice their uncertainty', () => {
  const sets = fc.sample(
    fc.record({
      plan: anyNight,
      gusts: fc.array(gust, {
        minLength: 15,
        maxLength: 15,
      }),
    }),
    { numRuns: 200, seed: SEED },
  );
  const scores = sets.flatMap(({ plan, gusts }) => {
    // one tub and its sensors through nights of 9 to 26 W/K, 6 % more or less from one to the next
    const same = { ...plan, lossWPerK: 10 + plan.lossWPerK / 1.6, resolutionK: 0.0625, hours: 6 };
    const nights = gusts.flatMap((gust, seed) => {
      const lossWPerK = same.lossWPerK * (1 + 0.06 * gust);
      return coolDown(nightOf({ ...same, lossWPerK, seed: seed + 1 })).found ?? [];
    });
    const loss = lossOfNights(nights);
    return loss ? [(loss.wPerK - same.lossWPerK) / loss.uncertaintyWPerK] : [];
  });
  const within = scores.filter((score) => Math.abs(score) <= 2).length / scores.length;
  console.info(
    `sets of nights, seed ${SEED}: ${scores.length} of ${sets.length}, ${(100 * within).toFixed(1)} % within 2u`,
  );
  expect(scores.length).toBeGreaterThan(180);
  expect(within).toBeGreaterThanOrEqual(0.95);
}, 60_000);
