import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { flowSensorAtZero } from '../../model/rules/flow-sensor-at-zero.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [flowSensorAtZero];
/** The meter tells this share of the flow from 12 to 14 h. */
const telling = (share: number, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'B',
    everyMs: 60_000,
    tubC: 28,
    backupC: null,
    bends: { 'pump/flow': (flow, { hour }) => (hour >= 12 && hour < 14 ? share * flow : flow) },
    ...more,
  });

test('a meter that stands still while warm water comes back is told, and ends when it turns', () => {
  const made = telling(0);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { raisedAt, until, evidence } = raised[0]!;
  const minutes = (raisedAt - made.from - 12 * HOUR) / MINUTE;
  console.info(`told after ${minutes} min`);
  expect(minutes).toBeGreaterThanOrEqual(14);
  expect(minutes).toBeLessThanOrEqual(25);
  expect(evidence.lPerMin).toBe(0);
  expect(evidence.multipliedBy).toBeNull();
  const ended = (until! - made.from - 14 * HOUR) / MINUTE;
  expect(ended).toBeGreaterThanOrEqual(0);
  expect(ended).toBeLessThanOrEqual(2);
});

test('a meter that tells a twentieth is not at zero', () => {
  expect(goRound(telling(0.05), { rules }).raised).toEqual([]);
});

test('a sixtieth is told with what to multiply it by', () => {
  const { raised } = goRound(telling(1 / 60), { rules });
  expect(raised.map(({ evidence }) => evidence.multipliedBy)).toEqual([60]);
});

test('without a sensor at the return the tub that warms without other heat proves it', () => {
  const setup = { backup: { kind: 'none' as const } };
  const made = telling(0, { setup });
  const traces = new Map([...made.traces].filter(([point]) => !/inlet|outlet/.test(point)));
  expect(goRound({ ...made, traces }, { rules }).raised).toHaveLength(1);
});

test('where no water moves the meter is right', () => {
  const dry = telling(1, {
    happens: (scene) => {
      if (scene.hour >= 12 && scene.hour < 14) scene.lPerMin = 0;
    },
  });
  expect(goRound(dry, { rules }).raised).toEqual([]);
});

test('a night does not end it', () => {
  const made = telling(0, {
    bends: { 'pump/flow': (flow, { hour }) => (hour >= 12 ? 0 : flow) },
  });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.until).toBeNull();
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = telling(1);
  const traces = cutOut(calm.traces, calm.from + 9 * HOUR, calm.from + 12 * HOUR, ['pump/flow']);
  expect(goRound({ ...calm, traces }, { rules }).raised).toEqual([]);
  expect(goRound(calm, { rules, from: calm.from + 12 * HOUR }).raised).toEqual([]);
  const stuck = telling(0);
  const cut = cutOut(stuck.traces, stuck.from + 13 * HOUR, stuck.to);
  const gap = goRound({ ...stuck, traces: cut }, { rules, to: stuck.from + 18 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});

test('a trickle below what the meter sees is no meter that stands still', () => {
  const trickle = (share: number) =>
    telling(0, {
      sky: () => 0.55,
      happens: (scene) => {
        if (scene.hour >= 12 && scene.hour < 14) scene.lPerMin *= share;
      },
    });
  expect(goRound(trickle(1), { rules }).raised).toHaveLength(1);
  expect(goRound(trickle(0.2), { rules }).raised).toEqual([]);
});

test('days on which nobody saw that the meter stands are not what is usual', () => {
  const bends = { 'pump/flow': (flow: number, { day }: { day: number }) => (day >= 1 ? 0 : flow) };
  const { rounds } = goRound(telling(1, { days: 4, everyMs: 120_000, bends }), { rules: [] });
  console.info(`usual ${rounds.now.usual.lPerMin} l/min after three days at zero`);
  expect(rounds.now.usual.lPerMin).toBeGreaterThan(3);
});
