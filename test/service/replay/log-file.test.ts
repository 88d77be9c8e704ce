import { expect, test } from 'vitest';
import { checkLog } from '../../../collector-service/replay/log-file.ts';

const from = '2026-03-01T08:00:00Z';
const remark = { kind: 'remark', from };
const bath = { kind: 'bathing', from, until: '2026-03-01T09:00:00Z' };

/** The kinds of each tub's entries, or the places and reasons of what is refused. */
function read(document: unknown, ids = ['kowhai']) {
  const checked = checkLog(document, ids);
  if ('faults' in checked) return checked.faults.map(({ path, why }) => [path, why]);
  return Object.fromEntries([...checked.logs].map(([tub, log]) => [tub, log.map((e) => e.kind)]));
}

test('a list, what the API gives, and a list for each tub are read alike', () => {
  const kinds = { kowhai: ['remark', 'bathing'] };
  expect(read([remark, bath])).toEqual(kinds);
  expect(read({ items: [remark, { ...bath, id: 'x' }], next: null })).toEqual(kinds);
  expect(read({ tubs: { kowhai: [remark, bath] } })).toEqual(kinds);
  expect(read([])).toEqual({});
});

test('an entry belongs to the tub that it names, or in whose list it stands', () => {
  const ids = ['kowhai', 'rimu'];
  const split = { kowhai: ['bathing'], rimu: ['remark'] };
  expect(
    read(
      [
        { ...remark, tub: 'rimu' },
        { ...bath, tub: 'kowhai' },
      ],
      ids,
    ),
  ).toEqual(split);
  expect(read({ tubs: { rimu: [remark], kowhai: [{ ...bath, tub: 'kowhai' }] } }, ids)).toEqual(
    split,
  );
});

test('whose an entry is must be plain', () => {
  const ids = ['kowhai', 'rimu'];
  expect(read([{ ...remark, tub: 'rimu' }, bath], ids)).toEqual([
    ['/1', expect.stringMatching(/add its "tub"/)],
  ]);
  expect(read([{ ...remark, tub: 'rata' }], ids)).toEqual([
    ['/0/tub', expect.stringMatching(/no tub "rata"/)],
  ]);
  expect(read({ tubs: { rata: [remark] } }, ids)).toEqual([
    ['/tubs/rata/0', expect.stringMatching(/no tub "rata"/)],
  ]);
  expect(read({ tubs: { rimu: [{ ...remark, tub: 'kowhai' }] } }, ids)).toEqual([
    ['/tubs/rimu/0/tub', expect.stringMatching(/list of rimu/)],
  ]);
  expect(read([remark], [])).toEqual([['/0', expect.stringMatching(/tub/)]]);
});

test('every fault is told where it stands', () => {
  const bad = [
    remark,
    { ...bath, until: from },
    { kind: 'bucket-test', from, data: { buckets: 2 } },
    7,
    { ...remark, colour: 'red' },
  ];
  const places = ['/1/until', '/2/data', '/3', '/4/colour'];
  const at = (prefix: string) => places.map((place) => [prefix + place, expect.any(String)]);
  expect(read(bad)).toEqual(at(''));
  expect(read({ items: bad })).toEqual(at('/items'));
  expect(read({ tubs: { kowhai: bad } })).toEqual(at('/tubs/kowhai'));
});

test.each([null, 'log', 7, {}, { items: 7 }, { tubs: [] }, { items: [], tubs: {} }, { log: [] }])(
  '%j is no log',
  (document) => {
    expect(read(document)).toEqual([['', expect.stringMatching(/expected a list of entries/)]]);
  },
);

test('a tub whose log is no list is told by its name', () => {
  expect(read({ tubs: { kowhai: remark } })).toEqual([['/tubs/kowhai', expect.any(String)]]);
});
