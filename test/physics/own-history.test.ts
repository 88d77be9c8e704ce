import fc from 'fast-check';
import { expect, test } from 'vitest';
import { againstOwnHistory } from '../../model/own-history.ts';
import { evenly } from './evenly.ts';

const days = (count: number, of: (i: number) => number, noonDeg?: (i: number) => number) =>
  Array.from({ length: count }, (_, i) => ({
    value: of(i),
    ...(noonDeg ? { noonDeg: noonDeg(i) } : {}),
  }));

test('the newest fourteen days are held against the first fifteen', () => {
  const fell = days(40, (i) => (i < 26 ? 0.9 : 0.72));
  expect(againstOwnHistory(fell, 0.9)).toMatchObject({
    reference: 0.9,
    recent: 0.72,
    recentDays: 14,
    referenceDays: 15,
  });
  expect(againstOwnHistory(fell, 0.9)!.share).toBeCloseTo(0.8, 12);
});

test('a figure that stays makes a share of 1, however it is scaled', () => {
  fc.assert(
    fc.property(evenly(0.1, 3), fc.integer({ min: 19, max: 200 }), (value, count) => {
      expect(
        againstOwnHistory(
          days(count, () => value),
          0.5,
        )!.share,
      ).toBeCloseTo(1, 12);
    }),
  );
});

test('with fewer than five days on either side nothing is said', () => {
  expect(
    againstOwnHistory(
      days(18, () => 1),
      0.9,
    ),
  ).toBeNull();
  expect(
    againstOwnHistory(
      days(19, () => 1),
      0.9,
    ),
  ).not.toBeNull();
  expect(againstOwnHistory([], 0.9)).toBeNull();
});

test('days of another season are no reference', () => {
  const noonDeg = (i: number) => (i < 40 ? 30 : 60);
  const turned = days(60, (i) => (i < 40 ? 0.7 : 0.95), noonDeg);
  expect(againstOwnHistory(turned, 0.9)).toMatchObject({ share: 1, referenceDays: 6 });
  expect(
    againstOwnHistory(
      days(50, () => 1, noonDeg),
      0.9,
    ),
  ).toBeNull();
});
