import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { runningWithoutFlow } from '../../model/rules/running-without-flow.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [runningWithoutFlow];
/** From one hour to another only this share of the usual water moves. */
const moving = (share: number, from: number, to: number, more: LoopDaysOptions = {}) =>
  loopDays({
    everyMs: 60_000,
    tubC: 28,
    backupC: null,
    happens: (scene) => {
      if (scene.hour >= from && scene.hour < to) scene.lPerMin *= share;
    },
    ...more,
  });

for (const kit of ['A', 'B', 'C'] as const) {
  test(`a pump that moves no water is told, and ends when water moves, with kit ${kit}`, () => {
    const made = moving(0, 12, 13.5, { kit });
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    const { raisedAt, until, severity } = raised[0]!;
    const minutes = (raisedAt - made.from - 12 * HOUR) / MINUTE;
    const ended = (until! - made.from - 13.5 * HOUR) / MINUTE;
    console.info(`kit ${kit}: told after ${minutes} min, over ${ended} min after the repair`);
    expect(severity).toBe('act');
    expect(minutes).toBeGreaterThanOrEqual(10);
    expect(minutes).toBeLessThanOrEqual(30);
    expect(ended).toBeGreaterThan(0);
    expect(ended).toBeLessThanOrEqual(75);
  });

  test(`half of the flow is less water, not none, with kit ${kit}`, () => {
    expect(goRound(moving(0.5, 10, 16, { kit }), { rules }).raised).toEqual([]);
  });
}

test('so little water that it comes back scalding is not none, unless the meter hangs', () => {
  const slow = moving(0.15, 10, 16, { kit: 'B' });
  const hottestC = Math.max(...slow.traces.get('collector/outlet')!.v);
  expect(hottestC).toBeGreaterThan(55);
  expect(goRound(slow, { rules }).raised).toEqual([]);
  const hangs = moving(0, 10, 16, { kit: 'B', bends: { 'pump/flow': (flow) => flow || 3.5 } });
  expect(goRound(hangs, { rules }).raised).toHaveLength(1);
});

test('a meter that stands still while the collectors stay cool is not taken for it', () => {
  const stuck = moving(1, 0, 24, { kit: 'B', bends: { 'pump/flow': () => 0 } });
  expect(goRound(stuck, { rules }).raised).toEqual([]);
});

test('a pump that stands still is not one that moves nothing', () => {
  const dead = loopDays({
    everyMs: 60_000,
    tubC: 28,
    backupC: null,
    happens: (scene) => {
      scene.pumpOn = false;
      scene.lPerMin = 0;
    },
  });
  expect(Math.max(...dead.traces.get('collector/temperature')!.v)).toBeGreaterThan(90);
  expect(goRound(dead, { rules }).raised).toEqual([]);
});

test('a night does not end it', () => {
  const { raised } = goRound(moving(0, 12, 24), { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.until).toBeNull();
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = moving(1, 0, 24);
  const traces = cutOut(calm.traces, calm.from + 8 * HOUR, calm.from + 12 * HOUR);
  expect(goRound({ ...calm, traces }, { rules }).raised).toEqual([]);
  expect(goRound(calm, { rules, from: calm.from + 12 * HOUR }).raised).toEqual([]);
  const dry = moving(0, 11, 24);
  const cut = cutOut(dry.traces, dry.from + 12.5 * HOUR, dry.from + 20 * HOUR);
  const gap = goRound({ ...dry, traces: cut }, { rules, to: dry.from + 19 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});

test('a pump that is asked and has no power does not run without flow', () => {
  const cutOff = loopDays({
    kit: 'C',
    everyMs: 60_000,
    tubC: 28,
    backupC: null,
    setup: { pump: { stateIs: 'asked' } },
    happens: (scene) => {
      if (scene.hour < 12) return;
      scene.lPerMin = 0;
      scene.pumpW = 0;
    },
  });
  expect(goRound(cutOff, { rules }).raised).toEqual([]);
});
