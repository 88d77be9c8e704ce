import { expect, test } from 'vitest';
import { flowOf } from '../../model/measured-flow.ts';
import { logEntry, logEntryShape, logKinds, newLogEntrySchema } from '../../model/owner-log.ts';

const from = '2026-03-01T08:00:00Z';

/** Where each fault of an entry stands, and why. */
function faults(entry: object): [string, string][] {
  const { error } = newLogEntrySchema.safeParse({ from, ...entry });
  return (error?.issues ?? []).map(({ path, message }) => [path.join('/'), message]);
}

const needed: Record<string, object> = {
  'bucket-test': { lPerMin: 4.1 },
  'cup-check': { points: ['collector/inlet', 'collector/outlet'], differenceK: 0.2 },
  'not-a-fault': { fault: 'sensor-frozen' },
};

test.each(logKinds)('%s is an entry, and comes back as it was told', (kind) => {
  const data = needed[kind];
  const said = { kind, from, until: '2026-03-01T21:30:00+13:00', ...(data && { data }), note: 'é' };
  const entry = logEntry('x', newLogEntrySchema.parse(said));
  expect(logEntryShape(entry)).toEqual({
    ...said,
    id: 'x',
    from: '2026-03-01T08:00:00.000Z',
    until: '2026-03-01T08:30:00.000Z',
  });
  const bare = { kind, from, until: null, note: null, ...(data && { data }) };
  expect(logEntry('x', newLogEntrySchema.parse(bare))).toMatchObject({ until: null, note: null });
});

test.each<[string, object, string]>([
  ['a kind that there is not', { kind: 'party' }, 'kind'],
  ['a time without its offset', { kind: 'remark', from: '2026-03-01T08:00:00' }, 'from'],
  ['an end at its beginning', { kind: 'bathing', until: from }, 'until'],
  ['a note of 2,001 characters', { kind: 'remark', note: 'x'.repeat(2001) }, 'note'],
  ['data of 4,001 characters', { kind: 'remark', data: { x: 'y'.repeat(4001) } }, 'data'],
  [
    'a point that there is not',
    { kind: 'sensor-moved', data: { point: 'tub/soap' } },
    'data/point',
  ],
  ['no water', { kind: 'water-changed', data: { litres: 0 } }, 'data/litres'],
  ['a bucket test without data', { kind: 'bucket-test' }, 'data'],
  ['a bucket test without a flow', { kind: 'bucket-test', data: { flow: 4 } }, 'data'],
  [
    'half a fill',
    { kind: 'bucket-test', data: { fills: [{ litres: 10 }] } },
    'data/fills/0/seconds',
  ],
  ['no fill', { kind: 'bucket-test', data: { fills: [] } }, 'data/fills'],
  ['a flow of nothing', { kind: 'bucket-test', data: { lPerMin: 0 } }, 'data/lPerMin'],
  [
    'a cup of one sensor',
    { kind: 'cup-check', data: { points: ['tub/temperature'] } },
    'data/points',
  ],
  ['no fault', { kind: 'not-a-fault', data: { point: 'tub/temperature' } }, 'data'],
])('%s is refused where it stands', (_, entry, path) => {
  expect(faults(entry).map(([place]) => place)).toContain(path);
});

test('an unknown field is refused, unknown keys of the data are kept', () => {
  expect(faults({ kind: 'remark', to: from })).toHaveLength(1);
  const data = { lPerMin: 4.1, bucket: 'the blue one', by: { name: 'me' } };
  expect(newLogEntrySchema.parse({ kind: 'bucket-test', from, data }).data).toEqual(data);
});

test('a bucket test without a flow says what it needs', () => {
  const [[, why]] = faults({ kind: 'bucket-test', data: { litres: 10 } }) as [[string, string]];
  expect(why).toMatch(/needs its flow: .*lPerMin.*fills/);
});

test('the flow of a bucket test is the mean of its fills, known as well as they agree', () => {
  // 10 l in 150, 146.341 and 142.857 s are 4, 4.1 and 4.2 l/min: their mean is known to 0.1/√3
  const fills = [150, 600 / 4.1, 600 / 4.2].map((seconds) => ({ litres: 10, seconds }));
  const close = flowOf({ fills })!;
  expect(close.lPerMin).toBeCloseTo(4.1, 12);
  expect(close.uncertaintyLPerMin, 'at least 3 %').toBeCloseTo(0.123, 12);
  const wide = flowOf({
    fills: [
      { litres: 10, seconds: 200 },
      { litres: 10, seconds: 120 },
    ],
  })!;
  expect(wide.lPerMin).toBeCloseTo(4, 12);
  expect(wide.uncertaintyLPerMin, '3 and 5 l/min: √2 / √2').toBeCloseTo(1, 12);
  expect(flowOf({ litres: 10, seconds: 150 })!.lPerMin).toBe(4);
});

test('a flow as written is known as well as was said, otherwise to 3 %', () => {
  expect(flowOf({ lPerMin: 4, uncertaintyLPerMin: 0.05 })).toEqual({
    lPerMin: 4,
    uncertaintyLPerMin: 0.05,
  });
  expect(flowOf({ lPerMin: 4 })!.uncertaintyLPerMin).toBeCloseTo(0.12, 12);
  for (const none of [{}, { lPerMin: Number.NaN }, { fills: [{}] }, { fills: [null] }]) {
    expect(flowOf(none)).toBeNull();
  }
});
