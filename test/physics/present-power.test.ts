import { expect, test } from 'vitest';
import { learnedFrom } from '../../model/learned.ts';
import { presentPower } from '../../model/present-power.ts';
import { MINUTE, type Trace } from '../../model/readings.ts';
import { tubSettings } from '../../model/tub-settings.ts';

const settings = tubSettings({
  id: 'kowhai',
  place: { latitude: -41.3, longitude: 174.8, timeZone: 'Pacific/Auckland' },
  loop: { flowLPerMin: 4 },
});
const learned = learnedFrom([], settings);
const at = Date.parse('2026-03-01T00:00:00Z');

/** A reading each half a minute for two hours, the newest so many minutes ago. */
function every30s(value: number | ((agoMin: number) => number), newestMin = 0): Trace {
  const ago = Array.from({ length: 241 }, (_, i) => newestMin + (240 - i) / 2);
  return {
    t: Float64Array.from(ago, (min) => at - min * MINUTE),
    v: Float64Array.from(ago, (min) => (typeof value === 'number' ? value : value(min))),
  };
}

const three = new Map([
  ['tub/temperature', every30s(36)],
  ['collector/temperature', every30s(44)],
  ['pump/running', every30s(1)],
]);
const metered = new Map([
  ...three,
  ['collector/inlet', every30s(36)],
  ['collector/outlet', every30s(42)],
  ['pump/flow', every30s(4)],
]);

test('three sensors tell an estimate by the flow in use', () => {
  const power = presentPower(settings, learned, three, at)!;
  expect(power.basis).toBe('estimated');
  // 8 K of water at the flow in use, some 0.99 kg and 4.18 kJ/(kg·K) a litre
  const watts = (learned.flowLPerMin.value / 60) * 0.993 * 4179 * 8;
  expect(power.watts / watts).toBeCloseTo(1, 2);
});

test('flow and a pair of thermometers tell what is measured', () => {
  const power = presentPower(settings, learned, metered, at)!;
  expect(power.basis).toBe('measured');
  expect(power.watts / ((4 / 60) * 0.993 * 4179 * 6)).toBeCloseTo(1, 1);
});

test('a pair that fell silent hours ago tells nothing of now, the others go on', () => {
  const silent = new Map(metered).set('collector/inlet', every30s(36, 180));
  expect(presentPower(settings, learned, silent, at)!.basis).toBe('estimated');
  silent.set('collector/temperature', every30s(44, 180));
  expect(presentPower(settings, learned, silent, at)).toBeNull();
});

test('a pump that has just been switched leaves the power unknown, one that rests leaves none', () => {
  const offFor = (min: number) => every30s((agoMin) => (agoMin >= min ? 1 : 0));
  const late = new Map(three).set('tub/temperature', every30s(36, 3));
  expect(presentPower(settings, learned, late, at)).not.toBeNull();
  late.set('pump/running', offFor(2));
  expect(presentPower(settings, learned, late, at)).toBeNull();
  const rests = new Map(three).set('pump/running', offFor(10));
  expect(presentPower(settings, learned, rests, at)!.watts).toBe(0);
});

test('collectors that are hotter than any sun keeps them while water runs tell no power', () => {
  const locked = new Map(three).set('collector/temperature', every30s(95));
  expect(presentPower(settings, learned, locked, at)).toBeNull();
});
