import { expect, test } from 'vitest';
import { covers, withoutCovered } from '../../../collector-service/ingest/topic-filters.ts';

test.each([
  ['sunsteep/#', 'sunsteep/kowhai/tub/temperature', true],
  ['sunsteep/#', 'sunsteep', true],
  ['sunsteep/#', 'sunsteepx/a', false],
  ['a/+/c', 'a/b/c', true],
  ['a/+/c', 'a/+/c', true],
  ['a/+', 'a/b/c', false],
  ['a/+', 'a/#', false],
  ['a/b', 'a/+', false],
  ['a/+', 'a', false],
  ['#', 'a/+/#', true],
])('%s covers %s: %s', (wide, narrow, is) => {
  expect(covers(wide, narrow)).toBe(is);
});

test('a filter that another covers is not subscribed to', () => {
  const filters = ['sunsteep/#', 'shed/+/state', 'shed/a/state', 'shed/a/alive', 'shed/+/state'];
  expect([...withoutCovered(filters)]).toEqual(['sunsteep/#', 'shed/+/state', 'shed/a/alive']);
});
