import { expect, test } from 'vitest';
import { classLimitK } from './drawn-instruments.ts';
import type { Flaw } from './flaws.ts';
import type { BoardTraits, House, Overrides } from './house.ts';
import { thermometerAt } from './kit.ts';
import { type Simulated, Simulation, simulate } from './simulation.ts';

const box = (everyS: number, points: readonly string[]): BoardTraits => ({
  name: 'box',
  points: [...points],
  everyS,
  onChange: false,
  heartbeatMin: 5,
  stamps: 'board',
  clockMs: 0,
  outagesPerDay: 1,
  outageMin: 20,
  keeps: false,
  restartsPerDay: 6,
  dropouts: 0.001,
  repeats: 0.001,
  late: 0.001,
});

const points = [
  'tub/temperature',
  'collector/temperature',
  'collector/inlet',
  'collector/outlet',
  'outdoor/temperature',
  'pump/running',
  'pump/flow',
  'pump/volume',
];

/** A day with these flaws alone. */
function flawed(seed: number, flaws: readonly Flaw[], overrides: Overrides<House> = {}): Simulated {
  const instruments = { boards: [box(30, points)], ...overrides.instruments };
  return simulate({
    seed,
    kit: 'C',
    from: '2026-04-10',
    days: 1,
    flaws,
    overrides: { ...overrides, instruments },
  });
}

/** Readings of a point by their time. */
const byTime = ({ readings }: Simulated, point: string): Map<number, number> =>
  new Map(readings.filter((reading) => reading.point === point).map(({ t, value }) => [t, value]));

/** What one run read above another at the same times. */
function apart(run: Simulated, perfect: Simulated, point: string): number[] {
  const truth = byTime(perfect, point);
  return [...byTime(run, point)].flatMap(([t, value]) => {
    const there = truth.get(t);
    return there === undefined ? [] : [value - there];
  });
}

test('a thermometer reads off by no more than its class allows', () => {
  let [largest, count] = [0, 0];
  for (let seed = 1; seed <= 6; seed++) {
    const [run, perfect] = [flawed(seed, ['offset']), flawed(seed, [])];
    for (const point of points.filter((name) => thermometerAt(name, run.house))) {
      const { class: of } = thermometerAt(point, run.house)!;
      const truth = byTime(perfect, point);
      for (const [t, value] of byTime(run, point)) {
        const there = truth.get(t)!;
        const share = Math.abs(value - there) / classLimitK(of, there);
        largest = Math.max(largest, share);
        count++;
      }
    }
  }
  console.info(`offsets: ${count} readings, at most ${(100 * largest).toFixed(1)} % of the class`);
  expect(count).toBeGreaterThan(40_000);
  expect(largest).toBeLessThan(1.001);
  expect(largest).toBeGreaterThan(0.8);
});

test('noise scatters about the truth, rounding keeps within half a step', () => {
  for (const seed of [2, 3, 5]) {
    const perfect = flawed(seed, []);
    const traits = thermometerAt('collector/inlet', perfect.house)!;
    const noise = apart(flawed(seed, ['noise']), perfect, 'collector/inlet');
    const mean = noise.reduce((a, b) => a + b, 0) / noise.length;
    const deviation = Math.sqrt(noise.reduce((a, b) => a + (b - mean) ** 2, 0) / noise.length);
    expect(noise.length).toBeGreaterThan(2500);
    expect(Math.abs(mean)).toBeLessThan(0.1 * traits.noiseK);
    expect(deviation / traits.noiseK).toBeGreaterThan(0.95);
    expect(deviation / traits.noiseK).toBeLessThan(1.05);
    const steps = apart(flawed(seed, ['step']), perfect, 'collector/inlet').map(Math.abs);
    expect(Math.max(...steps)).toBeLessThanOrEqual(traits.stepK / 2 + 1e-4);
    expect(Math.max(...steps)).toBeGreaterThan(0.3 * traits.stepK);
  }
});

test('a sensor that lags follows late and a strapped one feels the air', () => {
  for (const seed of [2, 3]) {
    const strapped = { class: 'pt100-a', leak: 0.02, lagS: 60 } as const;
    const overrides: Overrides<House> = { instruments: { outlet: strapped } };
    const perfect = flawed(seed, [], overrides);
    const lag = apart(flawed(seed, ['lag'], overrides), perfect, 'collector/outlet');
    expect(Math.max(...lag.map(Math.abs))).toBeGreaterThan(1);
    expect(Math.abs(lag.reduce((a, b) => a + b, 0) / lag.length)).toBeLessThan(0.05);
    const run = flawed(seed, ['mounting'], overrides);
    const air = byTime(perfect, 'outdoor/temperature');
    const felt = byTime(run, 'collector/outlet');
    let worst = 0;
    for (const [t, there] of byTime(perfect, 'collector/outlet')) {
      worst = Math.max(worst, Math.abs(felt.get(t)! - there - 0.02 * (air.get(t)! - there)));
    }
    expect(worst).toBeLessThan(0.001);
  }
});

test('a flow meter reads off by a constant within its class and stands still below its start', () => {
  for (const seed of [1, 3]) {
    for (const tells of ['rate', 'volume'] as const) {
      const meter = { tells, startLPerMin: 0.5, counterStepL: 0.1 };
      const overrides: Overrides<House> = { instruments: { meter }, pump: { supply: 'mains' } };
      const perfect = flawed(seed, [], overrides);
      const run = flawed(seed, ['gain'], overrides);
      const { gain, class: of } = run.house.instruments.meter;
      expect(Math.abs(gain - 1)).toBeLessThanOrEqual(of === 'turbine-5' ? 0.05 : 0.1);
      const point = tells === 'rate' ? 'pump/flow' : 'pump/volume';
      const truth = byTime(perfect, point);
      let worst = 0;
      for (const [t, value] of byTime(run, point)) {
        worst = Math.max(worst, Math.abs(value - gain * truth.get(t)!));
      }
      expect(worst).toBeLessThan(0.002);
    }
    const meter = { tells: 'rate', startLPerMin: 8 } as const;
    const standing = flawed(seed, ['start'], { instruments: { meter } });
    expect(Math.max(...byTime(standing, 'pump/flow').values())).toBe(0);
  }
});

test('a counter counts all the water, in its own steps', () => {
  for (const seed of [2, 4, 6]) {
    const meter = { tells: 'volume', counterStepL: 10 } as const;
    const run = flawed(seed, ['counting'], { instruments: { meter } });
    const values = [...byTime(run, 'pump/volume').values()];
    expect(values.every((value) => value % 10 === 0)).toBe(true);
    // What went before the first day is on the counter too.
    const counted = values.at(-1)! - values[0]!;
    expect(Math.abs(counted - run.truth.total.litres)).toBeLessThanOrEqual(11);
  }
});

test('boards lose, restart, drop out, come late and repeat', () => {
  let [powerOn, noAnswer, gaps, resets] = [0, 0, 0, 0];
  for (let seed = 1; seed <= 8; seed++) {
    const instruments: Overrides<House['instruments']> = {
      inlet: { class: 'digital-0.5' },
      meter: { tells: 'volume' },
    };
    const run = flawed(seed, ['outages'], { instruments });
    const inlet = [...byTime(run, 'collector/inlet')].sort(([a], [b]) => a - b);
    powerOn += inlet.filter(([, value]) => value === 85).length;
    noAnswer += inlet.filter(([, value]) => value === -127).length;
    gaps += inlet.filter(([t], i) => i > 0 && t - inlet[i - 1]![0] > 300_000).length;
    const counter = [...byTime(run, 'pump/volume')].sort(([a], [b]) => a - b);
    resets += counter.filter(([, value], i) => i > 0 && value < counter[i - 1]![1]).length;
  }
  console.info(`8 days: ${powerOn}× 85.0, ${noAnswer}× −127, ${gaps} gaps, ${resets} resets`);
  for (const count of [powerOn, noAnswer, gaps]) expect(count).toBeGreaterThan(3);
  expect(resets).toBeGreaterThan(1);
});

test('a pair that was zeroed in one cup agrees within a tenth or two once corrected', () => {
  let count = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const { house, setup } = new Simulation({ seed, kit: 'B', from: '2026-04-10', days: 1 });
    const { inlet, outlet, zeroed } = house.instruments;
    expect(setup.corrections === undefined).toBe(!zeroed);
    if (!zeroed) continue;
    const off = (at: typeof inlet) => at.offsetShare * classLimitK(at.class, 38);
    const left = off(inlet) + setup.corrections!['collector/inlet']!.offset! - off(outlet);
    expect(Math.abs(left)).toBeLessThan(0.25);
    count++;
  }
  expect(count).toBeGreaterThan(5);
});
