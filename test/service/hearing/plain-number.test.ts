import { expect, test } from 'vitest';
import { ARRIVAL, decode, valuesOf, whyNot } from './setting.ts';

const TEMPERATURE = 'sunsteep/kowhai/tub/temperature';
const RUNNING = 'sunsteep/kowhai/pump/running';

test('a plain number is a reading, stamped on arrival', () => {
  expect(decode(TEMPERATURE, '37.4').readings).toEqual([
    { tub: 'kowhai', point: 'tub/temperature', t: ARRIVAL, value: 37.4 },
  ]);
});

test.each([
  ['-3', -3],
  ['+3.5', 3.5],
  ['3.7e1', 37],
  ['37E-1', 3.7],
  ['.5', 0.5],
  ['5.', 5],
  [' 37.4\r\n', 37.4],
  ['0', 0],
  ['1e300', 1e300],
])('%j is the number %d', (text, value) => {
  expect(valuesOf(decode(TEMPERATURE, text))).toEqual({ 'tub/temperature': value });
});

test.each([
  '1e999',
  '-1e999',
  'NaN',
  'Infinity',
  '0x10',
  '37,4',
  '37.4C',
  '37.4 38',
  '1_000',
  '--1',
  '1e',
  '.',
  'e5',
  '٣٧',
  'on',
  'null',
  '"37.4"',
  '   ',
  '37.4\0',
])('%j is no number and no reading', (text) => {
  const decoded = decode(TEMPERATURE, text);
  expect(decoded.readings).toEqual([]);
  expect(whyNot(decoded)).toEqual(['the payload is not a finite number']);
});

test('an empty payload is no reading', () => {
  expect(whyNot(decode(TEMPERATURE, ''))).toEqual(['the payload is empty']);
});

test.each([
  ['on', 1],
  ['OFF', 0],
  ['True', 1],
  ['false', 0],
  ['1', 1],
  ['0.0', 0],
])('a 0/1 point reads %j as %d', (text, value) => {
  expect(valuesOf(decode(RUNNING, text))).toEqual({ 'pump/running': value });
});

test.each(['2', '0.5', '-1'])('a 0/1 point refuses %s', (text) => {
  expect(whyNot(decode(RUNNING, text))).toEqual(['the point is one of 0 and 1 alone']);
});

test('a JSON object is refused with a hint at what is read', () => {
  expect(whyNot(decode(TEMPERATURE, ' {"t": 37.4}'))).toEqual([
    'a JSON object is neither a number nor SenML, which is an array',
  ]);
});

test('a number on the topic of a tub alone is refused', () => {
  expect(whyNot(decode('sunsteep/kowhai', '37.4'))).toEqual([
    'a number needs a topic that names its point; here a SenML pack is expected',
  ]);
});

test('sixty thousand digits are refused as quickly as they came', () => {
  const digits = `${'1'.repeat(60_000)}x`;
  expect(whyNot(decode(TEMPERATURE, digits))).toEqual(['the payload is not a finite number']);
});
