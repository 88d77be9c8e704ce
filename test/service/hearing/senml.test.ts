import { expect, test } from 'vitest';
import { ARRIVAL, decode, valuesOf, whyNot } from './setting.ts';

const TUB = 'sunsteep/kowhai';
const POINT = 'sunsteep/kowhai/tub/temperature';
const decoded = (topic: string, pack: unknown) => decode(topic, JSON.stringify(pack));

test('a pack on the topic of a tub names points by resolved names', () => {
  const pack = [
    { bn: 'tub/', bt: ARRIVAL / 1000 - 60, bu: 'Cel', n: 'temperature', v: 37.5 },
    { bn: 'pump/', n: 'running', u: '/', v: 1 },
    { n: 'flow', u: 'l/s', v: 0.07, t: 1.5 },
  ];
  expect(decoded(TUB, pack).readings).toEqual([
    { tub: 'kowhai', point: 'tub/temperature', t: ARRIVAL - 60_000, value: 37.5 },
    { tub: 'kowhai', point: 'pump/running', t: ARRIVAL - 60_000, value: 1 },
    { tub: 'kowhai', point: 'pump/flow', t: ARRIVAL - 58_500, value: 0.07 * 60 },
  ]);
});

test('on the topic of a point a record needs no name, and may have its own', () => {
  for (const record of [
    { v: 37 },
    { n: 'tub/temperature', v: 37 },
    { n: 'urn:dev:ow:10e2073a01080063', u: 'Cel', v: 37 },
    { bn: 'urn:dev:ow:10e2073a01080063', v: 37 },
  ]) {
    expect(valuesOf(decoded(POINT, [record]))).toEqual({ 'tub/temperature': 37 });
  }
});

test('on the topic of a point a record of another point is refused', () => {
  const other = ['the SenML record has another name than the point in the topic'];
  expect(whyNot(decoded(POINT, [{ n: 'pump/power', v: 13 }]))).toEqual(other);
  const pack = [
    { n: 'tub/temperature', v: 37 },
    { n: 'humidity', v: 70 },
  ];
  expect(valuesOf(decoded(POINT, pack))).toEqual({ 'tub/temperature': 37 });
  expect(whyNot(decoded(POINT, pack))).toEqual(other);
});

test.each([
  ['tub/temperature', 'K', 310.15, 37],
  ['tub/temperature', 'Cel', 37, 37],
  ['pump/flow', 'l/s', 0.07, 4.2],
  ['pump/flow', 'm3/s', 0.00007, 4.2],
  ['pump/volume', 'm3', 1.5, 1500],
  ['pump/volume', 'l', 1500, 1500],
  ['backup/energy', 'J', 5_400_000, 1.5],
  ['backup/energy', 'kWh', 1.5, 1.5],
  ['backup/energy', 'Wh', 1500, 1.5],
  ['backup/power', 'kW', 2, 2000],
  ['collector/irradiance', 'W/m2', 800, 800],
  ['pump/voltage', 'mV', 12_000, 12],
])('%s in %s is converted', (point, u, v, value) => {
  const { readings } = decoded(TUB, [{ n: point, u, v }]);
  expect(readings).toHaveLength(1);
  expect(readings[0]!.value).toBeCloseTo(value, 9);
});

test.each([
  ['tub/temperature', 'W', 'the unit does not suit the point'],
  ['tub/temperature', 'C', 'the unit does not suit the point'],
  ['tub/temperature', 'degC', 'the unit is not one of SenML'],
  ['pump/flow', 'l/min', 'the unit is not one of SenML'],
  ['pump/running', '%', 'the unit does not suit the point'],
  ['tub/temperature', '', 'the unit is not one of SenML'],
])('%s in %j is refused', (point, u, why) => {
  expect(whyNot(decoded(TUB, [{ n: point, u, v: 1 }]))).toEqual([why]);
});

test('booleans suit 0/1 points alone', () => {
  expect(valuesOf(decoded(TUB, [{ n: 'tub/cover', vb: true }]))).toEqual({ 'tub/cover': 1 });
  expect(valuesOf(decoded(TUB, [{ n: 'tub/cover', vb: false }]))).toEqual({ 'tub/cover': 0 });
  expect(whyNot(decoded(TUB, [{ n: 'tub/temperature', vb: true }]))).toEqual([
    'the point is not one of 0 and 1',
  ]);
});

test('texts, data and sums are no readings', () => {
  for (const value of [{ vs: '37' }, { vd: 'aGkgCg' }, { s: 37 }]) {
    expect(whyNot(decoded(TUB, [{ n: 'tub/temperature', ...value }]))).toEqual([
      'the SenML record has no number',
    ]);
  }
  expect(valuesOf(decoded(TUB, [{ n: 'pump/flow', v: 4, s: 100 }]))).toEqual({ 'pump/flow': 4 });
});

test('a bad record loses none of the others, each reason is told once', () => {
  const pack = [
    { n: 'tub/temperature', v: 37 },
    { n: 'tub/temperature', v: '38' },
    17,
    { n: 'nowhere', v: 1 },
    { n: 'elsewhere', v: 1 },
    { n: 'collector/temperature', v: 60 },
  ];
  expect(valuesOf(decoded(TUB, pack))).toEqual({
    'tub/temperature': 37,
    'collector/temperature': 60,
  });
  expect(whyNot(decoded(TUB, pack)).sort()).toEqual([
    'a SenML record is a JSON object',
    'a field of the SenML record is not of its type',
    'unknown point',
  ]);
});

test.each([
  [[{ bt: '5', n: 'tub/temperature', v: 1 }], 'a SenML base field is not of its type'],
  [[{ bver: 11, n: 'tub/temperature', v: 1 }], 'the SenML version is above 10'],
  [[{ bver: 0, n: 'tub/temperature', v: 1 }], 'the SenML version is a positive whole number'],
  [
    [
      { n: 'tub/temperature', v: 1 },
      { bver: 9, n: 'tub/temperature', v: 2 },
    ],
    'the SenML pack has records of two versions',
  ],
  [
    [
      { n: 'tub/temperature', v: 1 },
      { n: 'tub/temperature', v: 2, must_: 1 },
    ],
    'the SenML pack has a label ending in _ that is not known here',
  ],
  [[], 'the SenML pack is empty'],
])('a pack in error brings nothing: %j', (pack, why) => {
  expect(decoded(TUB, pack).readings).toEqual([]);
  expect(whyNot(decoded(TUB, pack))).toEqual([why]);
});

test('a number too great for a double is none', () => {
  expect(whyNot(decode(TUB, '[{"n":"tub/temperature","v":1e999}]'))).toEqual([
    'a field of the SenML record is not of its type',
  ]);
});

test('a pack that is not JSON, or has a great E, is refused', () => {
  expect(whyNot(decode(TUB, '[{"n":"tub/temperature","v":37}'))).toEqual([
    'the payload is not valid JSON',
  ]);
  expect(whyNot(decode(TUB, '[{"n":"tub/temperature","v":3.7E1}]'))).toEqual([
    'SenML writes an exponent with a small e',
  ]);
  expect(valuesOf(decode(TUB, '[{"n":"tub/temperature","v":37,"note":"E \\"E"}]'))).toEqual({
    'tub/temperature': 37,
  });
  const notUtf8 = Buffer.concat([Buffer.from('[{"n":"'), Buffer.from([0xff]), Buffer.from('"}]')]);
  expect(whyNot(decode(TUB, notUtf8))).toEqual(['the payload is not valid UTF-8']);
});

test('nesting of thousands is refused as what it is', () => {
  const nested = `${'['.repeat(30_000)}${']'.repeat(30_000)}`;
  expect(whyNot(decode(TUB, nested))).toEqual(['a SenML record is a JSON object']);
  const deepValue = `[{"n":"tub/temperature","v":${'['.repeat(1000)}1${']'.repeat(1000)}}]`;
  expect(whyNot(decode(TUB, deepValue))).toEqual([
    'a field of the SenML record is not of its type',
  ]);
});

test('names that JavaScript gives a meaning are no fields and no points', () => {
  for (const n of ['constructor', 'toString', 'hasOwnProperty']) {
    expect(whyNot(decoded(TUB, [{ n, v: 1 }]))).toEqual(['unknown point']);
  }
  expect(decode(TUB, '[{"constructor":1,"n":"tub/temperature","v":37}]').readings).toHaveLength(1);
});
