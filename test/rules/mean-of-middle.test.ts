import { expect, test } from 'vitest';
import { meanOfMiddle } from '../../model/rules/mean-of-middle.ts';

test('a sensor of half kelvins tells a tenth over many readings, and odd ones do not show', () => {
  // a rise of 0.6 K that wanders by 0.4 K, by a sensor that tells half kelvins
  const told = Array.from({ length: 200 }, (_, i) => {
    const riseK = 0.6 + 0.4 * Math.sin(i / 7);
    return Math.round(2 * riseK) / 2;
  });
  const error = meanOfMiddle([...told, 12, -9, 30]) - 0.6;
  console.info(`off by ${error.toFixed(3)} K`);
  expect(Math.abs(error)).toBeLessThan(0.1);
  expect(meanOfMiddle([3])).toBe(3);
});
