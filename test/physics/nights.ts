import fc from 'fast-check';
import type { Night } from '../../model/cool-down.ts';
import { evenly } from './evenly.ts';

/** Nights made up from a tub whose loss is known, as sensors of all kinds would tell them. */

const HOUR = 3_600_000; // ms
const STEP_MS = 10_000;
const START = Date.UTC(2026, 2, 1, 18);

export interface NightPlan {
  lossWPerK: number;
  capacityWhPerK: number;
  startC: number;
  airC: number; // mean
  airDriftK: number; // from the mean to either end
  airBendK: number; // at the ends, against the mean
  hours: number;
  resolutionK: number; // 0: none
  noiseK: number; // standard deviation of one reading
  pattern: 'minute' | 'uneven' | 'on-change' | 'dense-then-sparse';
  airTold: 'readings' | 'figure';
  tubOffsetK: number;
  airOffsetK: number;
  capacityError: number; // relative
  seed: number;
}

/** A tub of the middle kind in a still night, read each minute by a perfect sensor. */
export const plainNight: NightPlan = {
  lossWPerK: 10,
  capacityWhPerK: 1200,
  startC: 38,
  airC: 10,
  airDriftK: 0,
  airBendK: 0,
  hours: 6,
  resolutionK: 0,
  noiseK: 0,
  pattern: 'minute',
  airTold: 'figure',
  tubOffsetK: 0,
  airOffsetK: 0,
  capacityError: 0,
  seed: 1,
};

/** Data sheets give limits; within them every error is equally likely. */
const LIMIT_K = 0.5;
const CAPACITY_LIMIT = 0.05;
/** What one figure says less of a night than readings do. */
const FIGURE_K = 0.5;

export const anyNight: fc.Arbitrary<NightPlan> = fc.record({
  lossWPerK: evenly(4, 25),
  capacityWhPerK: evenly(700, 2300),
  startC: evenly(33, 41),
  airC: evenly(-8, 18),
  airDriftK: evenly(-1.4, 1.4),
  airBendK: evenly(-0.4, 0.4),
  hours: evenly(3.2, 9),
  resolutionK: fc.constantFrom(0, 0.0625, 0.0625, 0.1, 0.125, 0.25, 0.5),
  noiseK: fc.constantFrom(0, 0.02, 0.05),
  pattern: fc.constantFrom('minute', 'uneven', 'on-change', 'dense-then-sparse'),
  airTold: fc.constantFrom('readings', 'figure'),
  tubOffsetK: evenly(-LIMIT_K, LIMIT_K),
  airOffsetK: evenly(-LIMIT_K, LIMIT_K),
  capacityError: evenly(-CAPACITY_LIMIT, CAPACITY_LIMIT),
  seed: fc.integer({ min: 1, max: 2 ** 31 - 2 }),
});

/** Numbers from 0 to 1, the same for the same seed (Park and Miller). */
function dice(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % (2 ** 31 - 1);
    return state / (2 ** 31 - 1);
  };
}

/** Whether a sensor that keeps time, after its fashion, tells its value at a step. */
function isDue({ pattern, hours }: NightPlan, i: number, next: number, hour: number): boolean {
  if (pattern === 'minute') return i % 6 === 0;
  if (pattern === 'uneven') return i >= next;
  return pattern === 'dense-then-sparse' && (hour < hours / 3 || i % 30 === 0);
}

/**
 * What the sensors tell of a night.
 *
 * @param disturb  what is added to the tub's temperature, by the hour since the start [K]
 */
export function nightOf(plan: NightPlan, disturb: (hour: number) => number = () => 0): Night {
  const random = dice(plan.seed);
  const noise = () => {
    if (plan.noiseK === 0) return 0;
    const radius = Math.sqrt(-2 * Math.log(random()));
    return plan.noiseK * radius * Math.cos(2 * Math.PI * random());
  };
  const told = (value: number, step: number) =>
    step > 0 ? Math.round(value / step) * step : value;
  const airAt = (hour: number) => {
    const x = (2 * hour) / plan.hours - 1;
    return plan.airC + plan.airDriftK * x + plan.airBendK * (1.5 * x * x - 0.5);
  };
  const tub: [number, number][] = [];
  const air: [number, number][] = [];
  const steps = Math.round((plan.hours * HOUR) / STEP_MS);
  const kept = Math.exp((-plan.lossWPerK / plan.capacityWhPerK) * (STEP_MS / HOUR));
  const changed = (i: number, value: number) =>
    i === 0 || i === steps || Math.abs(value - tub.at(-1)![1]) > 1e-9;
  let tubC = plan.startC;
  let next = 0;
  for (let i = 0; i <= steps; i++) {
    const hour = (i * STEP_MS) / HOUR;
    const value = told(tubC + disturb(hour) + plan.tubOffsetK + noise(), plan.resolutionK);
    const due = isDue(plan, i, next, hour) || (plan.pattern === 'on-change' && changed(i, value));
    if (due) {
      tub.push([START + i * STEP_MS, value]);
      next = i + (random() < 0.15 ? 100 * random() : 12 * random()) + 1;
    }
    if (i % 30 === 0) air.push([START + i * STEP_MS, airAt(hour) + plan.airOffsetK]);
    // half a step to the middle, where the air is taken
    const middle = airAt(hour + STEP_MS / HOUR / 2);
    tubC = middle + (tubC - middle) * kept;
  }
  const trace = (readings: [number, number][]) => ({
    t: Float64Array.from(readings, ([t]) => t),
    v: Float64Array.from(readings, ([, v]) => v),
  });
  return {
    tub: trace(tub),
    air: plan.airTold === 'readings' ? trace(air) : plan.airC + plan.airOffsetK,
    tubUncertaintyK: LIMIT_K / Math.sqrt(3),
    airUncertaintyK:
      plan.airTold === 'readings'
        ? LIMIT_K / Math.sqrt(3)
        : Math.hypot(LIMIT_K / Math.sqrt(3), FIGURE_K),
    capacityWhPerK: plan.capacityWhPerK * (1 + plan.capacityError),
    capacityUncertaintyWhPerK: (plan.capacityWhPerK * CAPACITY_LIMIT) / Math.sqrt(3),
  };
}
