import { expect, test } from 'vitest';
import type { Learned, LearnedValue } from '../../model/learned.ts';
import { learnedShape } from '../../model/learned-since.ts';

const read = (value: number): LearnedValue => ({
  value,
  uncertainty: 0.3,
  basis: 'learned',
  readingsFrom: Date.parse('2026-03-01'),
  readingsTo: Date.parse('2026-03-20'),
});

const entered: LearnedValue = {
  value: 2,
  uncertainty: 0.5,
  basis: 'assumed',
  readingsFrom: null,
  readingsTo: null,
};

const day = (
  date: string,
  loss: LearnedValue,
  flow: number,
): { date: string; learned: Learned } => ({
  date,
  learned: { lossWPerK: loss, flowLPerMin: read(flow), standingLitres: entered },
});

test('a learned value has been as it is since the first day in a row that had it', () => {
  const told = learnedShape(
    [
      day('2026-03-19', read(8.01), 4),
      day('2026-03-20', read(8), 4.3),
      day('2026-03-17', { ...entered, value: 8 }, 4.3),
      day('2026-03-18', read(8.05), 4.3),
    ],
    'UTC',
  );
  expect(told.lossWPerK).toEqual({
    value: 8,
    uncertainty: 0.3,
    basis: 'learned',
    from: '2026-03-18T00:00:00.000Z', // on the 17th it was entered
    readingsFrom: '2026-03-01T00:00:00.000Z',
    readingsTo: '2026-03-20T00:00:00.000Z',
  });
  // It moved on the 19th and back again.
  expect(told.flowLPerMin!.from).toBe('2026-03-20T00:00:00.000Z');
  expect(told.standingLitres!.from).toBeNull();
});

test('a value that never moved is as old as the oldest day, and without days nothing is told', () => {
  const days = ['2026-03-02', '2026-03-01'].map((date) => day(date, read(8), 4));
  expect(learnedShape(days, 'UTC').lossWPerK!.from).toBe('2026-03-01T00:00:00.000Z');
  expect(learnedShape([], 'UTC')).toEqual({});
});

test('days begin where the tub stands', () => {
  const days = ['2026-03-02', '2026-03-01'].map((date) => day(date, read(8), 4));
  const told = learnedShape(days, 'Pacific/Auckland');
  expect(told.lossWPerK!.from).toBe('2026-02-28T11:00:00.000Z');
});
