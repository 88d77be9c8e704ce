import { expect, test } from 'vitest';
import { guess, type HeardNumber, type KnownBeside } from '../../model/guess.ts';

const nothing: KnownBeside = { tubC: null, collectorC: null, points: [] };
const sunny: KnownBeside = {
  tubC: 37,
  collectorC: 58,
  points: ['tub/temperature', 'collector/temperature', 'pump/running'],
};

const told = (
  topic: string,
  pointer: string | null,
  values: number[],
  beside = nothing,
  isSwitch = false,
) => {
  const number: HeardNumber = { topic, pointer, values, isSwitch };
  const found = guess(number, beside);
  return found && `${found.point} ${found.unit ?? '-'} ${found.why}`;
};

test.each([
  ['garden/spaTemp', null, [36.5], 'tub/temperature - name'],
  ['garden/spa/temp_f', '/tempF', [98.2], 'tub/temperature degF name'],
  ['garden/pool', '/water', [98.2], 'tub/temperature degF name'],
  ['roof/board', '/panel/temperature', [81], 'collector/temperature - name'],
  ['house/outdoorTemp', null, [12.5], 'outdoor/temperature - name'],
  ['loop/return', '/t', [41], 'collector/outlet - name'],
  ['loop/supply', '/t', [36], 'collector/inlet - name'],
  ['spa/heater', '/power', [1980], 'backup/power - name'],
  ['spa/heater', '/kwh', [812.4], 'backup/energy - name'],
  ['spa/heater', '/target', [38], 'backup/setpoint - name'],
  ['shed/pump/power', null, [13.2], 'pump/power - name'],
  ['shed/flow_lph', null, [240], 'pump/flow l/h name'],
  ['roof/sun', '/irradiance', [640], 'collector/irradiance - name'],
])('%s %s is known by its name', (topic, pointer, values, expected) => {
  expect(told(topic, pointer, values)).toBe(expected);
});

test('switches are known by what they belong to', () => {
  expect(told('shed/pump', '/output', [1], nothing, true)).toBe('pump/running - name');
  expect(told('shed/pump/relay', null, [0, 1])).toBe('pump/commanded - name');
  expect(told('spa/lid', null, [1])).toBe('tub/cover - name');
  expect(told('shed/lamp', null, [1, 0], nothing, true)).toBeNull();
});

test('without a name the value speaks, held against what is heard', () => {
  expect(told('shed/board', '/ds/0/t', [36.2], sunny)).toBe('collector/inlet - near-tub');
  expect(told('shed/board', '/ds/1/t', [56.9], sunny)).toBe('collector/outlet - near-collector');
  expect(told('shed/board', '/ds/2/t', [14.2], sunny)).toBe('outdoor/temperature - mild');
  expect(told('shed/board', '/ds/0/t', [36.2])).toBe('tub/temperature - like-a-tub');
  expect(told('shed/board', '/ds/0/t', [71])).toBe('collector/temperature - hot');
  expect(told('shed/board', '/ds/0/t', [71], sunny)).toBeNull(); // it is heard already
  expect(told('plug/7', '/power', [2010], sunny)).toBe('backup/power - strong');
  expect(told('plug/8', '/power', [12.8], sunny)).toBe('pump/power - weak');
  expect(told('pulse/1', null, [1203, 1207, 1207, 1211])).toBe('pump/volume - only-rises');
  expect(told('pulse/1', null, [1203, 1207, 1201, 1211])).toBeNull();
});

test('a temperature that only rises is no counter', () => {
  const warming = [36.4, 36.5, 36.6, 36.8];
  expect(told('shed/board', '/ds/0/t', warming)).toBe('tub/temperature - like-a-tub');
  expect(told('shed/board', '/ds/0/temp', warming)).toBe('tub/temperature - like-a-tub');
});

test('what boards tell of themselves, and what no place can have, is no guess', () => {
  const topics = ['/rssi', '/uptime', '/battery', '/time', '/id', '/humidity', '/wifi/signal'];
  for (const pointer of topics) expect(told('shed/spa/temperature', pointer, [36])).toBeNull();
  expect(told('garden/spaTemp', null, [-127])).toBeNull();
  expect(told('house/outdoorTemp', null, [85])).toBeNull();
});

test('a point that is heard already is guessed no more', () => {
  expect(told('garden/spaTemp', null, [36.5], sunny)).toBeNull();
});
