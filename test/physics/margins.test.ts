import { expect, test } from 'vitest';
import { hold } from './margins.ts';
import { tolerances } from './tolerances.ts';

test('a sample that was dropped, is no number or is too far off is a failure', () => {
  const good = [4.1, 4.1] as const;
  expect(() => hold('heat coefficient', 2, [good, good])).not.toThrow();
  expect(() => hold('heat coefficient', 3, [good, good])).toThrow('2 samples');
  expect(() => hold('heat coefficient', 2, [good, [null, 4.1]])).toThrow('no number');
  expect(() => hold('heat coefficient', 2, [good, [Number.NaN, 4.1]])).toThrow('no number');
  expect(() => hold('heat coefficient', 2, [good, [4.1001, 4.1]])).toThrow('4.1001 should be 4.1');
  expect(() => hold('phlogiston', 1, [good])).toThrow('phlogiston');
});

test('every tolerance says why it is what it is', () => {
  for (const { limit, reason } of Object.values(tolerances)) {
    expect(limit).toBeGreaterThan(0);
    expect(reason.length).toBeGreaterThan(15);
  }
});
