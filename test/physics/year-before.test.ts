import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Stretch, withYearBefore } from '../../model/year-before.ts';

/** A November with every sensor there is; 30 days, 158 kWh of heat from 100 kWh/m² of sun. */
const before: Stretch = {
  days: 30,
  gainKwh: 158,
  basis: 'measured',
  savedKwh: 131,
  sunKwhPerM2: 100,
  outdoorC: 14,
  baths: 8,
};
const nowWith = (changes: Partial<Stretch>): Stretch => ({ ...before, ...changes });
const cause = (changes: Partial<Stretch>, then: Partial<Stretch> = {}) =>
  withYearBefore(nowWith(changes), { ...before, ...then })?.cause;

test('a month that saved about as much is alike, and has no cause', () => {
  for (const savedKwh of [131, 120, 142]) {
    expect(withYearBefore(nowWith({ savedKwh }), before)).toMatchObject({
      of: 'saved',
      alike: true,
      cause: null,
    });
  }
  // three kWh more are a tenth and more of a dark month, and nothing to speak of
  expect(withYearBefore(nowWith({ savedKwh: 12 }), { ...before, savedKwh: 10 })).toMatchObject({
    alike: true,
  });
});

test('more sun is the cause where it brought the heat in proportion', () => {
  const told = withYearBefore(nowWith({ gainKwh: 190, savedKwh: 157, sunKwhPerM2: 120 }), before);
  expect(told).toMatchObject({ of: 'saved', alike: false });
  expect(told!.differenceKwh).toBeCloseTo(26, 9);
  expect(told!.cause).toEqual({ kind: 'sunnier', change: expect.closeTo(0.2, 9) });
  expect(cause({ gainKwh: 126, savedKwh: 105, sunKwhPerM2: 80 })).toEqual({
    kind: 'less-sun',
    change: expect.closeTo(-0.2, 9),
  });
});

test('less heat for the same sun is the loop’s doing', () => {
  expect(cause({ gainKwh: 118, savedKwh: 98 })).toEqual({
    kind: 'less-yield',
    change: expect.closeTo(118 / 158 - 1, 9),
  });
  expect(cause({ gainKwh: 200, savedKwh: 166 })).toMatchObject({ kind: 'more-yield' });
  // more sun than last year, and still less heat
  expect(cause({ gainKwh: 118, savedKwh: 98, sunKwhPerM2: 110 })).toMatchObject({
    kind: 'less-yield',
  });
});

test('without a sensor for the sun nobody says whether it was the sky or the loop', () => {
  expect(cause({ gainKwh: 118, savedKwh: 98, sunKwhPerM2: null })).toEqual({
    kind: 'less-heat',
    change: expect.closeTo(118 / 158 - 1, 9),
  });
  expect(cause({ gainKwh: 200, savedKwh: 166 }, { sunKwhPerM2: null })).toMatchObject({
    kind: 'more-heat',
  });
});

test('warmth outdoors is the cause only where less of the heat was of use', () => {
  expect(cause({ savedKwh: 100, outdoorC: 17 })).toEqual({
    kind: 'warmer',
    deltaK: expect.closeTo(3, 9),
  });
  expect(cause({ savedKwh: 155, outdoorC: 12 })).toMatchObject({ kind: 'colder' });
  expect(cause({ gainKwh: 118, savedKwh: 98, sunKwhPerM2: 75, outdoorC: 17 })).toMatchObject({
    kind: 'less-sun',
  });
  // colder, though less was of use: that is no reason for it
  expect(cause({ savedKwh: 100, outdoorC: 11 })).toBeNull();
});

test('baths are the cause where more of the heat was of use, and it was not colder', () => {
  expect(cause({ savedKwh: 155, baths: 14 })).toEqual({
    kind: 'more-baths',
    baths: 14,
    bathsBefore: 8,
  });
  expect(cause({ savedKwh: 100, baths: 3 })).toMatchObject({ kind: 'fewer-baths' });
  expect(cause({ savedKwh: 155, baths: 14, outdoorC: 12 })).toMatchObject({ kind: 'colder' });
  expect(cause({ savedKwh: 155, baths: 9 })).toBeNull();
  expect(cause({ savedKwh: 155, baths: 14 }, { baths: null })).toBeNull();
});

test('days that were not heard come before all that they leave out', () => {
  expect(cause({ days: 20, gainKwh: 105, savedKwh: 87, sunKwhPerM2: 66.7 })).toEqual({
    kind: 'fewer-days',
    days: 20,
    daysBefore: 30,
  });
  expect(cause({}, { days: 20, gainKwh: 105, savedKwh: 87, sunKwhPerM2: 66.7 })).toMatchObject({
    kind: 'more-days',
  });
});

test('without a backup the heat is compared', () => {
  const told = withYearBefore(nowWith({ savedKwh: null, gainKwh: 190, sunKwhPerM2: 120 }), before);
  expect(told).toMatchObject({ of: 'heat', differenceKwh: 32, cause: { kind: 'sunnier' } });
});

test('too few days, and sums that are not known, are not compared', () => {
  expect(withYearBefore(nowWith({ days: 2 }), before)).toBeNull();
  expect(withYearBefore(before, nowWith({ days: 0 }))).toBeNull();
  expect(withYearBefore(nowWith({ gainKwh: null, savedKwh: null }), before)).toBeNull();
});

test('a year that was estimated is not held against one that was measured', () => {
  expect(withYearBefore(nowWith({ savedKwh: 90, basis: 'mixed' }), before)).toBeNull();
  const estimated: Stretch = { ...before, basis: 'estimated' };
  expect(withYearBefore({ ...estimated, basis: 'mixed', savedKwh: 90 }, estimated)).not.toBeNull();
});

test('a month that cost more than it saved is compared, and its cause found where one fits', () => {
  const told = withYearBefore(nowWith({ savedKwh: -4, gainKwh: 20, sunKwhPerM2: 13 }), before);
  expect(told).toMatchObject({ differenceKwh: -135, cause: { kind: 'less-sun' } });
});

test('a cause never takes the sum the other way, and no figure is other than a number', () => {
  const amount = fc.option(fc.double({ min: 0, max: 400, noNaN: true }), { nil: null, freq: 20 });
  const stretch: fc.Arbitrary<Stretch> = fc.record({
    days: fc.integer({ min: 0, max: 31 }),
    gainKwh: amount,
    basis: fc.constant('estimated'),
    savedKwh: amount,
    sunKwhPerM2: amount,
    outdoorC: fc.option(fc.double({ min: -20, max: 35, noNaN: true }), { nil: null }),
    baths: fc.option(fc.nat(30), { nil: null }),
  });
  const up = /^(more|sunnier|colder)/;
  let told = 0;
  fc.assert(
    fc.property(stretch, stretch, (a, b) => {
      const compared = withYearBefore(a, b);
      if (compared === null || compared.cause === null) return;
      told++;
      expect(up.test(compared.cause.kind)).toBe(compared.differenceKwh > 0);
      for (const figure of Object.values(compared.cause)) expect(figure).not.toBeNaN();
    }),
    { numRuns: 3000, seed: 20261125 },
  );
  console.info(`causes told: ${told} of 3000`);
  expect(told).toBeGreaterThan(200);
});
