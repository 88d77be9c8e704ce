import { expect, test } from 'vitest';
import { checkSetup } from '../../../collector-service/serve/setup-check.ts';
import { rules } from '../../../model/rules/rules.ts';

const place = { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' };
const paths = (document: unknown) => {
  const checked = checkSetup(document);
  return 'faults' in checked ? checked.faults.map(({ path }) => path) : [];
};

test('tells every fault at once, those of the schema and those beyond it', () => {
  const document = {
    tubs: [
      { id: 'one', place },
      { id: 'one', place, colour: 'red' },
    ],
    wiring: [
      { topic: 'a/b', tub: 'one' },
      { topic: 'a/+', tub: 'one', point: 'tub/temperature' },
    ],
  };
  expect(paths(document)).toEqual([
    '/tubs/1/colour',
    '/wiring/0/point',
    '/tubs/1/id',
    '/wiring/1/topic',
  ]);
});

test('takes a good document as it is, and refuses what is none', () => {
  expect(checkSetup({ tubs: [{ id: 'one', place }] })).toEqual({
    setup: { tubs: [{ id: 'one', place }] },
  });
  for (const none of [null, 7, 'text', [], { tubs: null }, { tubs: [null], wiring: [null] }]) {
    expect(paths(none).length).toBeGreaterThan(0);
  }
});

test.each([
  [{ 'water-too-hot': { limits: { actC: 38, dangerC: 39.5 } } }, []],
  [{ 'water-too-hot': { limits: { dangerC: 40 } } }, []],
  [{ 'water-too-hot': { limits: { actC: 42 } } }, ['water-too-hot/limits/actC']],
  [{ 'water-too-hot': { onMin: 30 } }, ['water-too-hot/onMin']],
  [{ 'water-too-hot': { limits: { dangerMin: -1 } } }, ['water-too-hot/limits/dangerMin']],
  [
    { 'hot-water-to-tub': { onMin: 0, limits: { dangerC: 75 } } },
    ['hot-water-to-tub/limits/dangerC'],
  ],
  [{ 'flow-falling': { limits: { lookBelow: 0.9 } } }, ['flow-falling/limits/lookBelow']],
  [{ 'flow-falling': { limits: { lookBelow: 0.9, goneAbove: 0.95 } } }, []],
  [{ 'flow-falling': { limits: { actBelow: 0.85 } } }, ['flow-falling/limits/actBelow']],
  [{ 'freeze-danger': { limits: { hardFrostC: -20 } } }, []],
  [{ 'sensor-open': { limits: { reading: 5 } } }, ['sensor-open/limits/reading']],
])('of thresholds %j it refuses %j', (faults, refused) => {
  const found = paths({ tubs: [{ id: 'one', place, faults }] });
  expect(found).toEqual(refused.map((path) => `/tubs/0/faults/${path}`));
});

test('no rule has defaults that it would refuse', () => {
  for (const { fault, limits, onMs } of rules) {
    const faults = { [fault]: { onMin: onMs / 60_000, limits } };
    expect(paths({ tubs: [{ id: 'one', place, faults }] })).toEqual([]);
  }
});
