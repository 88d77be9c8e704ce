import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { collectorStagnating } from '../../model/rules/collector-stagnating.ts';
import { pumpNotRunning } from '../../model/rules/pump-not-running.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [collectorStagnating];
/** Collectors that stand in the sun, at most so hot. */
const hot = (mostC: number, more: LoopDaysOptions = {}) =>
  loopDays({
    everyMs: 60_000,
    tubC: 39.8,
    backupC: 39.6, // the tub stays at its limit
    airC: { mean: 25, swing: 5 },
    bends: { 'collector/temperature': (c) => Math.min(c, mostC) },
    ...more,
  });

test('collectors that stand hot while the tub is warm enough are worth a note, until they cool', () => {
  const made = hot(200);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { severity, evidence, raisedAt, until } = raised[0]!;
  expect(severity).toBe('note');
  expect(evidence.onPurpose).toBe(true);
  const { t, v } = made.traces.get('collector/temperature')!;
  const hotAt = t[v.findIndex((c) => c >= 95)]!;
  const coolAt = t[v.findLastIndex((c) => c >= 85)]!;
  expect((raisedAt - hotAt) / MINUTE).toBeGreaterThanOrEqual(10);
  expect((raisedAt - hotAt) / MINUTE).toBeLessThanOrEqual(15);
  expect((until! - coolAt) / MINUTE).toBeGreaterThanOrEqual(0);
  expect((until! - coolAt) / MINUTE).toBeLessThanOrEqual(5);
});

for (const [kind, setup, fromC] of [
  ['glazed', {}, 95],
  ['evacuated', { collectors: { a1: 1.5, a2: 0.005 } }, 110],
  ['unglazed', { collectors: { a1: 12, a2: 0 } }, 65],
] as const) {
  test(`${kind} collectors stand hot from ${fromC} °C, and not just below`, () => {
    // what the loop itself does is that of glazed ones
    const { settings, versions } = loopDays({ setup, days: 0 });
    const went = (mostC: number) => goRound({ ...hot(mostC), settings, versions }, { rules });
    expect(went(fromC - 1).raised).toEqual([]);
    expect(went(fromC + 1).raised).toHaveLength(1);
  });
}

const dead = (scene: Scene) => {
  scene.pumpOn = false;
  scene.lPerMin = 0;
};

test('where nothing tells of the pump, collectors that stand hot with a cool tub call for a look', () => {
  const made = hot(200, { tubC: 28, backupC: null, happens: dead });
  const traces = new Map([...made.traces].filter(([point]) => point !== 'pump/running'));
  const { raised } = goRound({ ...made, traces }, { rules });
  expect(raised.map(({ severity }) => severity)).toEqual(['act']);
});

test('beside a pump that stands still in sun it is not told', () => {
  const made = hot(200, { tubC: 28, backupC: null, happens: dead });
  const { raised } = goRound(made, { rules: [pumpNotRunning, collectorStagnating] });
  expect(raised.map(({ fault }) => fault)).toEqual(['pump-not-running']);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = hot(94);
  const traces = cutOut(calm.traces, calm.from + 10 * HOUR, calm.from + 13 * HOUR);
  expect(goRound({ ...calm, traces }, { rules }).raised).toEqual([]);
  expect(goRound(calm, { rules, from: calm.from + 13 * HOUR }).raised).toEqual([]);
  const made = hot(200);
  const cut = cutOut(made.traces, made.from + 14 * HOUR, made.from + 23 * HOUR);
  const gap = goRound({ ...made, traces: cut }, { rules, to: made.from + 22 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});
