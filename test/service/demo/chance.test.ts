import { expect, test } from 'vitest';
import { drift, noise, unit } from '../../../collector-service/demo/chance.ts';

const count = 20_000;
const indices = Array.from({ length: count }, (_, i) => 170_000_000 + i);
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

test('chance is evenly spread and does not follow its neighbours', () => {
  const values = indices.map((index) => unit(1, 3, index));
  const tenths = new Array<number>(10).fill(0);
  for (const value of values) tenths[Math.floor(value * 10)]!++;
  const chiSquared = tenths.reduce((sum, n) => sum + (n - count / 10) ** 2 / (count / 10), 0);
  const along = mean(values.slice(1).map((value, i) => (value - 0.5) * (values[i]! - 0.5))) * 12;
  const across = mean(values.map((v, i) => (v - 0.5) * (unit(1, 4, indices[i]!) - 0.5))) * 12;
  console.info(`chi² ${chiSquared.toFixed(1)} (9 free), along ${along}, across ${across}`);
  expect(chiSquared).toBeLessThan(27.9); // one in a thousand for 9 degrees of freedom
  expect(Math.abs(along)).toBeLessThan(0.03);
  expect(Math.abs(across)).toBeLessThan(0.03);
});

test('noise has mean 0 and standard deviation 1, and is bounded', () => {
  const values = indices.map((index) => noise(1, 3, index));
  expect(Math.abs(mean(values))).toBeLessThan(0.03);
  expect(Math.sqrt(mean(values.map((value) => value * value)))).toBeCloseTo(1, 1);
  expect(Math.max(...values.map(Math.abs))).toBeLessThan(2.45);
});

test('drift walks without a step and is free at whole numbers', () => {
  let last = drift(1, 3, -2);
  expect(last).toBe(unit(1, 3, -2));
  for (let x = -2; x < 20; x += 0.01) {
    const value = drift(1, 3, x);
    expect(Math.abs(value - last)).toBeLessThan(0.016); // 1.5 a unit is its steepest
    last = value;
  }
});
