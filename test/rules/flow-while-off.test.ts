import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { flowWhileOff } from '../../model/rules/flow-while-off.ts';
import { frozenReading } from '../../model/rules/frozen-reading.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [flowWhileOff];
/** The meter tells this flow from 2 to 4 h in the night, while the pump rests. */
const telling = (lPerMin: number, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'B',
    everyMs: 60_000,
    tubC: 28,
    backupC: null,
    bends: { 'pump/flow': (flow, { hour }) => (hour >= 2 && hour < 4 ? lPerMin : flow) },
    ...more,
  });

test('a meter that tells of water while the pump rests is told, and ends', () => {
  const made = telling(0.8);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { raisedAt, until, evidence } = raised[0]!;
  const minutes = (raisedAt - made.from - 2 * HOUR) / MINUTE;
  expect(minutes).toBeGreaterThanOrEqual(15);
  expect(minutes).toBeLessThanOrEqual(18);
  expect(evidence.kind).toBe('meter');
  const ended = (until! - made.from - 4 * HOUR) / MINUTE;
  expect(ended).toBeGreaterThanOrEqual(0);
  expect(ended).toBeLessThanOrEqual(2);
});

test('a trickle below a twentieth of the usual flow is noise', () => {
  expect(goRound(telling(0.16), { rules }).raised).toEqual([]);
  expect(goRound(telling(0.19), { rules }).raised).toHaveLength(1);
});

test('a meter that goes on with the last flow after the pump stopped is told as held, or frozen', () => {
  const made = telling(1, {
    bends: { 'pump/flow': (flow, { hour }) => (hour > 10 ? 3.5 : flow) },
    happens: (scene) => {
      if (scene.hour < 15) return;
      scene.pumpOn = false;
      scene.lPerMin = 0;
    },
  });
  expect(goRound(made, { rules }).raised.map(({ evidence }) => evidence.kind)).toEqual(['held']);
  const both = goRound(made, { rules: [frozenReading, ...rules] }).raised;
  expect(both.map(({ fault, point }) => [fault, point])).toEqual([['frozen-reading', 'pump/flow']]);
});

test('water that the filter pump pushes is told as that', () => {
  const made = telling(0.8, {
    kit: 'C',
    happens: (scene) => {
      scene.filterOn = scene.hour >= 2 && scene.hour < 4;
    },
  });
  const { raised } = goRound(made, { rules });
  expect(raised.map(({ evidence }) => evidence.kind)).toEqual(['with-filter']);
});

test('a pump that runs unseen is no flow without it', () => {
  const unseen = telling(1, {
    bends: { 'pump/running': (on, { hour }) => (hour >= 11 && hour < 15 ? 0 : on) },
  });
  expect(goRound(unseen, { rules }).raised).toEqual([]);
});

test('water that the owner has confirmed is not told', () => {
  const made = telling(0.8);
  const owner = { ...made.settings.owner, flowConfirmed: true };
  const versions = [{ from: Number.NEGATIVE_INFINITY, settings: { ...made.settings, owner } }];
  expect(goRound({ ...made, versions }, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = telling(0);
  const stop = calm.traces.get('pump/running')!;
  const lastRun = stop.t[stop.v.lastIndexOf(1)]!;
  // the meter falls silent while the water moves, and keeps its value
  const traces = cutOut(calm.traces, lastRun - 5 * MINUTE, calm.to, ['pump/flow']);
  expect(goRound({ ...calm, traces }, { rules }).raised).toEqual([]);
  expect(goRound(calm, { rules, from: lastRun + 2 * MINUTE }).raised).toEqual([]);
  const made = telling(0.8);
  const cut = cutOut(made.traces, made.from + 3 * HOUR, made.from + 8 * HOUR, ['pump/flow']);
  const gap = goRound({ ...made, traces: cut }, { rules, to: made.from + 7 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});
