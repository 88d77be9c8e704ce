import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { flowTooHigh } from '../../model/rules/flow-too-high.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [flowTooHigh];
const DAY = 24 * HOUR;
/** A usual day, and one whose meter tells so many times the flow from 12 to 13:30. */
const telling = (times: number, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'B',
    everyMs: 60_000,
    days: 2,
    tubC: 24,
    backupC: null,
    setup: { tub: { litres: 3000 } },
    bends: {
      'pump/flow': (flow, { day }) => (day > 1.5 && day < 1.5625 ? times * flow : flow),
    },
    ...more,
  });

test('a meter that tells 1.7 times the flow of its first days is told, and ends', () => {
  const made = telling(1.7);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { raisedAt, until, evidence } = raised[0]!;
  const minutes = (raisedAt - made.from - DAY - 12 * HOUR) / MINUTE;
  expect(minutes).toBeGreaterThanOrEqual(10);
  expect(minutes).toBeLessThanOrEqual(20);
  expect(evidence.usualLPerMin).toBeCloseTo(3.5, 3);
  expect(evidence.dividedBy).toBeNull();
  const ended = (until! - made.from - DAY - 13.5 * HOUR) / MINUTE;
  expect(ended).toBeGreaterThanOrEqual(0);
  expect(ended).toBeLessThanOrEqual(10);
});

test('it is told of a pump that never runs for long, and ends though the pump rests', () => {
  const made = telling(1.7, {
    happens: (scene) => {
      if ((scene.hour * 60) % 10 < 6) return;
      scene.pumpOn = false;
      scene.lPerMin = 0;
    },
  });
  const { days } = goRound(telling(1, { days: 1 }), { rules });
  const { raised } = goRound(made, { rules, days });
  expect(raised).toHaveLength(1);
  const ended = (raised[0]!.until! - made.from - DAY - 13.5 * HOUR) / MINUTE;
  expect(ended).toBeGreaterThanOrEqual(0);
  expect(ended).toBeLessThanOrEqual(15);
});

test('1.4 times is not told', () => {
  expect(goRound(telling(1.4), { rules }).raised).toEqual([]);
});

test('sixty times, on the first day, is told with what to divide it by', () => {
  const made = telling(1, { days: 1, bends: { 'pump/flow': (flow) => 60 * flow } });
  const { raised } = goRound(made, { rules });
  expect(raised.map(({ evidence }) => evidence.dividedBy)).toEqual([60]);
});

test('a meter that tells of water while the pump rests is none that tells too much', () => {
  const bends = { 'pump/flow': (flow: number) => (flow === 0 ? 20 : flow) };
  expect(goRound(telling(1, { bends }), { rules }).raised).toEqual([]);
});

test('more water while the filter pump pushes is not told', () => {
  const made = telling(1.8, {
    kit: 'C',
    happens: (scene) => {
      scene.filterOn = scene.day > 1.49 && scene.day < 1.57;
    },
  });
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = telling(1);
  const noon = calm.from + DAY + 12 * HOUR;
  const traces = cutOut(calm.traces, noon - 2 * HOUR, noon + HOUR);
  const healthy = goRound({ ...calm, traces }, { rules });
  expect(healthy.raised).toEqual([]);
  expect(goRound(calm, { rules, from: noon, days: healthy.days.slice(0, 1) }).raised).toEqual([]);
  const high = telling(1.7);
  const cut = cutOut(high.traces, noon + 0.75 * HOUR, high.to);
  const gap = goRound({ ...high, traces: cut }, { rules, to: noon + 3 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});

test('a pump on a panel of its own that saw weak sun first is not told in good sun', () => {
  const weakFirst = (times: number) =>
    telling(times, {
      setup: { tub: { litres: 3000 }, pump: { supply: 'own-panel' }, loop: { flowLPerMin: 3.5 } },
      happens: (scene) => {
        if (scene.day < 1) scene.lPerMin *= 0.5;
      },
    });
  expect(goRound(weakFirst(1), { rules }).raised).toEqual([]);
  expect(goRound(weakFirst(1.7), { rules }).raised).toHaveLength(1);
});

test('weak sun, in which a pump on its own panel moves less, does not end it', () => {
  const made = telling(1, {
    days: 3,
    setup: { tub: { litres: 3000 }, pump: { supply: 'own-panel' }, loop: { flowLPerMin: 3.5 } },
    happens: (scene) => {
      scene.lPerMin *= Math.min(1, scene.sunWPerM2 / 800);
    },
    bends: { 'pump/flow': (flow, { day }) => (day >= 1 ? 2 * flow : flow) },
  });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.until).toBeNull();
});
