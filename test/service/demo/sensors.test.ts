import { expect, test, vi } from 'vitest';
import { demoPoints } from '../../../collector-service/demo/sensors.ts';
import { pointType } from '../../../model/points.ts';
import { DAY, MINUTE, run, spring } from './course.ts';

vi.setConfig({ testTimeout: 60_000 });

/** Smallest step of what each kind of sensor can show. */
const steps: Record<string, number> = {
  temperature: 0.0625,
  flag: 1,
  irradiance: 1,
  power: 0.1,
  voltage: 0.01,
  flow: 0.01,
  volume: 0.1,
  energy: 0.01,
};

test('every sensor tells a possible value in whole steps of its own, at all times', () => {
  let count = 0;
  run({ from: spring }, 60 * DAY, 7 * MINUTE, (at, of) => {
    for (const point of demoPoints) {
      const value = of(point);
      const { kind, low, high } = pointType(point)!;
      const shown = value / steps[kind]!;
      const fits =
        Number.isFinite(value) &&
        !Object.is(value, -0) &&
        value >= low &&
        value <= high &&
        Math.abs(shown - Math.round(shown)) < 1e-6;
      if (!fits) throw new Error(`${point} tells ${value} at ${new Date(at).toISOString()}`);
      count++;
    }
  });
  console.info(`${count} readings of ${demoPoints.length} points`);
  expect(count).toBe(demoPoints.length * (Math.floor((60 * 1440) / 7) + 1));
  expect(new Set(demoPoints).size).toBe(demoPoints.length);
});

test('counters never step back, and count something', () => {
  const counters = ['pump/volume', 'backup/energy'];
  const last: Record<string, number> = {};
  run({ from: spring }, 30 * DAY, MINUTE, (_, of) => {
    for (const point of counters) {
      expect(of(point)).toBeGreaterThanOrEqual(last[point] ?? 0);
      last[point] = of(point);
    }
  });
  expect(last['pump/volume']).toBeGreaterThan(1000);
  expect(last['backup/energy']).toBeGreaterThan(20);
});

test('the flow is about 4.2 l/min while the pump draws about 13 W, and else nothing', () => {
  const flows: number[] = [];
  const watts: number[] = [];
  run({ from: spring }, 10 * DAY, MINUTE, (_, of) => {
    if (of('pump/running') === 1) {
      flows.push(of('pump/flow'));
      watts.push(of('pump/power'));
    } else expect([of('pump/flow'), of('pump/power')]).toEqual([0, 0]);
  });
  const mean = (all: number[]) => all.reduce((sum, value) => sum + value, 0) / all.length;
  console.info(`flow ${mean(flows)} l/min, ${Math.min(...flows)} to ${Math.max(...flows)}`);
  expect(mean(flows)).toBeCloseTo(4.2, 1);
  expect(Math.min(...flows)).toBeGreaterThan(4.05);
  expect(Math.max(...flows)).toBeLessThan(4.35);
  expect(Math.max(...flows) - Math.min(...flows)).toBeGreaterThan(0.05);
  expect(mean(watts)).toBeCloseTo(13, 1);
});
