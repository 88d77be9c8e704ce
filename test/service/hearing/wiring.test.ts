import { expect, test } from 'vitest';
import { wiringFaults } from '../../../collector-service/ingest/wiring.ts';
import type { Wiring } from '../../../model/setup.ts';
import { ARRIVAL, decode, valuesOf, whyNot } from './setting.ts';

const shed: Wiring = {
  topic: 'shed/board/state',
  pointer: '/ds/0/t',
  unit: 'degF',
  tub: 'kowhai',
  point: 'tub/temperature',
};

const wired = (payload: string, wiring: Partial<Wiring> = {}, topic = 'shed/board/state') =>
  decode(topic, payload, { wiring: [{ ...shed, ...wiring }] });

test('a pointer finds the value, scale and offset act before the unit is converted', () => {
  const { readings } = wired('{"ds":[{"t":490}]}', { scale: 0.2, offset: 1 });
  expect(readings).toMatchObject([{ tub: 'kowhai', point: 'tub/temperature', t: ARRIVAL }]);
  expect(readings[0]!.value).toBeCloseTo((490 * 0.2 + 1 - 32) / 1.8, 9);
});

test('without a pointer the payload is the number, with an empty one the whole document is', () => {
  const flow: Partial<Wiring> = { pointer: undefined, unit: 'l/min', point: 'pump/flow' };
  expect(valuesOf(wired('4.2', flow))).toEqual({ 'pump/flow': 4.2 });
  expect(valuesOf(wired('4.2', { ...flow, pointer: '' }))).toEqual({ 'pump/flow': 4.2 });
  expect(valuesOf(wired('ON', { ...flow, unit: undefined, point: 'pump/running' }))).toEqual({
    'pump/running': 1,
  });
});

test('numbers in strings are read, and words and booleans for 0/1 points', () => {
  expect(valuesOf(wired('{"ds":[{"t":" 21.5 "}]}', { unit: undefined }))).toEqual({
    'tub/temperature': 21.5,
  });
  const running: Partial<Wiring> = { point: 'pump/running', unit: undefined, pointer: '/p' };
  expect(valuesOf(wired('{"p":"Off"}', running))).toEqual({ 'pump/running': 0 });
  expect(valuesOf(wired('{"p":true}', running))).toEqual({ 'pump/running': 1 });
  expect(valuesOf(wired('{"p":true}', { ...running, scale: -1, offset: 1 }))).toEqual({
    'pump/running': 0,
  });
});

test.each(['{"ds":[]}', '{"ds":[{"t":null}]}', '{"ds":[{"t":true}]}', '{"ds":[{"t":[1]}]}'])(
  '%s brings nothing',
  (payload) => {
    expect(whyNot(wired(payload))).toEqual(['what the wiring points at is not a finite number']);
  },
);

test('pointers into what every object has find nothing', () => {
  for (const pointer of ['/__proto__', '/constructor/name', '/constructor/length', '/a/length']) {
    expect(whyNot(wired('{"a":[1,2]}', { pointer })), pointer).toHaveLength(1);
  }
});

test('a payload that is no JSON is refused, however deep it is', () => {
  expect(whyNot(wired('{"ds":'))).toEqual(['the payload is not valid JSON']);
  const deep = `${'{"a":'.repeat(1000)}1${'}'.repeat(1000)}`;
  expect(whyNot(wired(deep))).toEqual(['what the wiring points at is not a finite number']);
});

test.each([
  ['unix-s', '{"v":98.6,"at":1772452800.5}', 1_772_452_800_500],
  ['unix-ms', '{"v":98.6,"at":1772452800500}', 1_772_452_800_500],
  ['unix-s', '{"v":98.6,"at":"1772452800"}', 1_772_452_800_000],
  ['iso8601', '{"v":98.6,"at":"2026-03-02T12:00:00+01:00"}', 1_772_449_200_000],
  [undefined, '{"v":98.6,"at":"2026-03-02T12:00:00Z"}', 1_772_452_800_000],
  [undefined, '{"v":98.6,"at":1772452800}', 1_772_452_800_000],
] as const)('a time in %s is its own', (timeFormat, payload, t) => {
  const { readings } = decode('shed/board/state', payload, {
    wiring: [{ ...shed, pointer: '/v', timePointer: '/at', timeFormat }],
    waited: true,
  });
  expect(readings).toMatchObject([{ t, value: 37 }]);
});

test.each(['{"v":98.6}', '{"v":98.6,"at":"noon"}', '{"v":98.6,"at":{}}', '{"v":98.6,"at":1e999}'])(
  'where the time cannot be read there is no reading: %s',
  (payload) => {
    expect(whyNot(wired(payload, { pointer: '/v', timePointer: '/at' }))).toEqual([
      'what the wiring points at is not a time',
    ]);
  },
);

test('+ is taken up in the tub and in the point', () => {
  const wiring: Wiring[] = [
    { topic: 'park/+/n/+', tub: 'tub-{1}', point: 'collector/{2}/temperature' },
  ];
  expect(decode('park/7/n/3', '60', { wiring }).readings).toMatchObject([
    { tub: 'tub-7', point: 'collector/3/temperature', value: 60 },
  ]);
  expect(whyNot(decode('park/B_1/n/3', '60', { wiring }))).toEqual([
    'the topic gives a name that no tub can have',
  ]);
  expect(whyNot(decode('park/7/n/x', '60', { wiring }))).toEqual(['unknown point']);
  expect(whyNot(decode('park/7/n', '60', { wiring }))).toEqual(['no wiring for this topic']);
  expect(whyNot(decode('park/7/n/3/4', '60', { wiring }))).toEqual(['no wiring for this topic']);
});

test('one message can bring several points', () => {
  const wiring: Wiring[] = [
    { topic: 'shed/+', pointer: '/in', tub: '{1}', point: 'collector/inlet' },
    { topic: 'shed/+', pointer: '/out', tub: '{1}', point: 'collector/outlet' },
    { topic: 'shed/kowhai', pointer: '/lost', tub: 'kowhai', point: 'pump/flow' },
  ];
  const decoded = decode('shed/kowhai', '{"in":30,"out":34}', { wiring });
  expect(valuesOf(decoded)).toEqual({ 'collector/inlet': 30, 'collector/outlet': 34 });
  expect(whyNot(decoded)).toHaveLength(1);
});

test('a good wiring has no faults', () => {
  expect(
    wiringFaults([
      shed,
      { topic: 'park/+/state', pointer: '/t', tub: '{1}', point: 'tub/temperature' },
      { topic: 'park/+/+/+', tub: 'p-{1}', point: '{2}/{3}' },
      { topic: 'n/+', tub: 'kowhai', point: 'collector/{1}/temperature', unit: 'K' },
      { topic: 'x', pointer: '/v', tub: 'kowhai', point: 'pump/flow', unit: 'gal/min', scale: 2 },
    ]),
  ).toEqual([]);
});

test.each([
  [{ topic: 'park/+/state' }, '/wiring/0/topic', 'two boards'],
  [{ topic: 'a/+/+', tub: '{2}' }, '/wiring/0/topic', '+ number 1'],
  [{ tub: '{1}' }, '/wiring/0/tub', 'stands for no +'],
  [{ tub: 'Kowhai' }, '/wiring/0/tub', 'a-z'],
  [{ tub: 'service' }, '/wiring/0/tub', 'service'],
  [{ point: 'tub/colour' }, '/wiring/0/point', 'a point'],
  [{ topic: 'a/+', point: 'tub/{1}/x' }, '/wiring/0/point', 'a point'],
  [{ unit: 'W' }, '/wiring/0/unit', 'suits'],
  [{ scale: 0 }, '/wiring/0/scale', 'other than 0'],
  [{ timeFormat: 'unix-s' as const }, '/wiring/0/timeFormat', 'timePointer'],
  [{ pointer: undefined, timePointer: '/at' }, '/wiring/0/timePointer', 'pointer'],
])('%j is refused', (wrong, path, why) => {
  const faults = wiringFaults([{ ...shed, ...wrong }]);
  expect(faults).toEqual([{ path, why: expect.stringContaining(why) }]);
});

test('the same wiring twice is refused', () => {
  expect(wiringFaults([shed, { ...shed, scale: 2 }])).toEqual([
    { path: '/wiring/1', why: 'says the same as a wiring before it' },
  ]);
});
