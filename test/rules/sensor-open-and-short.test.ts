import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { sensorOpen } from '../../model/rules/sensor-open.ts';
import { sensorShort } from '../../model/rules/sensor-short.ts';
import { waterTooHot } from '../../model/rules/water-too-hot.ts';
import { goRound } from './go-round.ts';
import { cutOut, loopDays, type Scene } from './loop-days.ts';

const rules = [sensorOpen, sensorShort];
const from = loopDays({ everyMs: 600_000 }).from;

/** A point that tells `bad` for so many readings from nine o'clock on. */
function told(point: string, bad: number, readings: number) {
  let count = 0;
  const bend = (value: number, { hour }: Scene) => {
    if (hour < 9 || count === readings) return value;
    count++;
    return bad;
  };
  return loopDays({ everyMs: 30_000, bends: { [point]: bend } });
}

for (const [fault, point, bad] of [
  ['sensor-open', 'tub/temperature', -127],
  ['sensor-open', 'collector/temperature', -80],
  ['sensor-short', 'tub/temperature', 127.94],
  ['sensor-short', 'collector/temperature', 260],
] as const) {
  test(`${bad} °C three times running is a ${fault} at ${point}, until three good ones`, () => {
    const { raised } = goRound(told(point, bad, 40), { rules });
    expect(raised).toHaveLength(1);
    expect(raised[0]).toMatchObject({ fault, point, since: from + 9 * HOUR });
    expect(raised[0]!.evidence).toMatchObject({ valueC: bad });
    expect(raised[0]!.raisedAt - from - 9 * HOUR).toBe(2 * MINUTE);
    expect(raised[0]!.until! - from - 9 * HOUR).toBe(22 * MINUTE);
  });
}

test('two impossible readings are a hiccup', () => {
  expect(goRound(told('tub/temperature', -127, 2), { rules }).raised).toEqual([]);
});

test('collectors that stand at 170 °C are hot, not short', () => {
  const bends = { 'collector/temperature': (v: number, { hour }: Scene) => (hour > 9 ? 170 : v) };
  expect(goRound(loopDays({ bends }), { rules }).raised).toEqual([]);
});

test('water that a heater has brought past 60 °C by degrees is hot, not short', () => {
  const bends = {
    'tub/temperature': (_: number, { hour }: Scene) => 36 + Math.max(0, 4 * (hour - 9)),
  };
  const { raised } = goRound(loopDays({ bends }), { rules: [...rules, waterTooHot] });
  expect(raised.map(({ fault }) => fault)).toEqual(['water-too-hot']);
  expect(raised[0]).toMatchObject({ until: null, unknownSince: null });
});

test('a silence and rounds begun anew end nothing and raise nothing new', () => {
  const made = told('tub/temperature', -127, 400);
  const before = goRound(made, { rules, to: from + 10 * HOUR });
  const silent = { ...made, traces: cutOut(made.traces, from + 10 * HOUR, from + 11 * HOUR) };
  const standing = before.raised.map((alert) => ({ ...alert }));
  const after = goRound(silent, { rules, standing, from: from + 10 * HOUR, to: from + 11 * HOUR });
  expect(before.raised).toHaveLength(1);
  expect(after.changes).toEqual([]);
});
