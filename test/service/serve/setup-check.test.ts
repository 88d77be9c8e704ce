import { expect, test } from 'vitest';
import { checkSetup } from '../../../collector-service/serve/setup-check.ts';

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
