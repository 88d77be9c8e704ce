import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { flowWhileOff } from '../../model/rules/flow-while-off.ts';
import { pumpOnAtNight } from '../../model/rules/pump-on-at-night.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [pumpOnAtNight];
/** The pump runs from one hour of the night to another. */
const running = (from: number, to: number, more: LoopDaysOptions = {}) =>
  loopDays({
    everyMs: 60_000,
    backupC: null,
    happens: (scene) => {
      if (scene.hour < from || scene.hour >= to) return;
      scene.pumpOn = true;
      scene.lPerMin = 3.5;
      scene.pumpW = 13;
    },
    ...more,
  });

for (const kit of ['A', 'C'] as const) {
  test(`a pump that runs in the dark is told, and ends when it stops, with kit ${kit}`, () => {
    const made = running(1, 3, { kit });
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    const { raisedAt, until, evidence } = raised[0]!;
    const minutes = (raisedAt - made.from - HOUR) / MINUTE;
    console.info(`kit ${kit}: told after ${minutes} min`);
    expect(minutes).toBeGreaterThanOrEqual(20);
    expect(minutes).toBeLessThanOrEqual(25);
    expect(evidence.collectorC).toBeGreaterThan(8);
    const ended = (until! - made.from - 3 * HOUR) / MINUTE;
    expect(ended).toBeGreaterThanOrEqual(0);
    expect(ended).toBeLessThanOrEqual(2);
  });
}

test('a run of a quarter of an hour in the dark is not told', () => {
  expect(goRound(running(1, 1.25), { rules }).raised).toEqual([]);
});

test('a pump that still runs at sunset is not told, one that goes on into the night is', () => {
  expect(goRound(running(18, 20.8), { rules }).raised).toEqual([]);
  expect(goRound(running(18, 22.5), { rules }).raised).toHaveLength(1);
});

test('runs against frost are not told, though they warm the collectors, unless they go on', () => {
  const frost = { airC: { mean: -2, swing: 2 }, sky: () => 0 };
  expect(goRound(running(1, 1.8, frost), { rules }).raised).toEqual([]);
  expect(goRound(running(1, 4, frost), { rules }).raised).toHaveLength(1);
});

test('a tub above its limit that is cooled on purpose is not told, one below it is', () => {
  const cooled = (tubC: number) =>
    running(1, 3, {
      tubC,
      airC: { mean: 0, swing: 4 },
      happens: (scene) => {
        scene.pumpOn = scene.hour > 1 && scene.hour < 3;
        scene.lPerMin = scene.pumpOn ? 3.5 : 0;
      },
    });
  expect(goRound(cooled(43), { rules }).raised).toEqual([]);
  expect(goRound(cooled(38), { rules }).raised).toHaveLength(1);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = running(25, 26);
  const evening = cutOut(calm.traces, calm.from + 15 * HOUR, calm.from + 23.5 * HOUR);
  expect(goRound({ ...calm, traces: evening }, { rules }).raised).toEqual([]);
  expect(goRound(calm, { rules, from: calm.from + 2 * HOUR }).raised).toEqual([]);
  const night = running(1, 5);
  const traces = cutOut(night.traces, night.from + 2 * HOUR, night.from + 4 * HOUR);
  const gap = goRound({ ...night, traces }, { rules, to: night.from + 3.5 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});

test('a pump that draws power though nobody asks for it runs', () => {
  const relay = (watts: number) =>
    running(1, 3, {
      kit: 'C',
      setup: { pump: { stateIs: 'asked' } },
      happens: (scene) => {
        if (scene.hour < 1 || scene.hour >= 3) return;
        scene.lPerMin = 3.5;
        scene.pumpW = watts;
      },
    });
  const { raised } = goRound(relay(13), { rules: [pumpOnAtNight, flowWhileOff] });
  expect(raised.map(({ fault }) => fault)).toEqual(['pump-on-at-night']);
  expect(goRound(relay(2), { rules }).raised).toEqual([]);
});

test('collectors that are hot still are reason enough to run after dusk', () => {
  const warm = (aboveK: number) =>
    running(18, 23, {
      bends: { 'collector/temperature': (c, { tubC, hour }) => (hour > 18 ? tubC + aboveK : c) },
    });
  expect(goRound(warm(6), { rules }).raised).toEqual([]);
  expect(goRound(warm(0.5), { rules }).raised).toHaveLength(1);
});

test('a run that the sun began may end an hour after dusk', () => {
  const dusk = (to: number) => goRound(running(18, to), { rules }).raised;
  expect(dusk(21.8)).toEqual([]);
  expect(dusk(22.5)).toHaveLength(1);
});
