import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { shortCycling } from '../../model/rules/short-cycling.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [shortCycling];
const DAY = 24 * HOUR;
interface Beat {
  onMin: number;
  offMin: number;
  /** Local hours of the first so many days. */
  from: number;
  to: number;
  days: number;
}
/** Days on which the pump starts and stops to a beat. */
const beating = ({ onMin, offMin, from, to, days }: Beat, more: LoopDaysOptions = {}) =>
  loopDays({
    everyMs: 60_000,
    days: 2,
    tubC: 24,
    backupC: null,
    setup: { tub: { litres: 3000 } },
    happens: (scene) => {
      if (scene.day >= days || scene.hour < from || scene.hour >= to) return;
      scene.pumpOn = (scene.t / MINUTE) % (onMin + offMin) < onMin;
      scene.lPerMin = scene.pumpOn ? 3.5 : 0;
    },
    ...more,
  });
/** Fifteen starts an hour. */
const often = { onMin: 2, offMin: 2, from: 11, to: 13, days: 1 };

test('two hours with fifteen starts are told with the day, and end after three good days', () => {
  const made = beating(often, { days: 5 });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { raisedAt, until, evidence } = raised[0]!;
  expect((raisedAt - made.from) / DAY).toBe(1);
  expect((until! - made.from) / DAY).toBe(4);
  expect(evidence.badHours).toBe(2);
  expect(evidence.startsInAnHour).toBe(15);
});

test('a pump that did so from its first day on is made so, which is worth no more than a note', () => {
  const always = goRound(beating({ ...often, days: 4 }, { days: 4 }), { rules }).raised;
  expect(always.map(({ severity }) => severity)).toEqual(['note']);
  const later = beating(often, {
    days: 5,
    happens: (scene) => {
      if (scene.day < 3 || scene.hour < 11 || scene.hour >= 13) return;
      scene.pumpOn = (scene.t / MINUTE) % 4 < 2;
      scene.lPerMin = scene.pumpOn ? 3.5 : 0;
    },
  });
  expect(goRound(later, { rules }).raised.map(({ severity }) => severity)).toEqual(['look']);
});

test('one such hour, or two of ten starts, are not told', () => {
  expect(goRound(beating({ ...often, to: 12 }), { rules }).raised).toEqual([]);
  expect(goRound(beating({ ...often, onMin: 3, offMin: 3 }), { rules }).raised).toEqual([]);
});

test('three hours of ten starts are, which is as often as a pump with least run times can start', () => {
  const slow = beating({ ...often, onMin: 3, offMin: 3, to: 14 });
  const { raised } = goRound(slow, { rules });
  expect(raised.map(({ evidence }) => evidence.startsInAnHour)).toEqual([10]);
});

test('a day of many short runs is told when the next is like it', () => {
  const short = { onMin: 2, offMin: 6, from: 10, to: 14, days: 1 };
  const made = (days: number) => beating({ ...short, days }, { days: 3 });
  expect(goRound(made(1), { rules }).raised).toEqual([]);
  expect(goRound(made(2), { rules }).raised.map(({ evidence }) => evidence.badHours)).toEqual([0]);
  const weak = beating({ ...short, offMin: 8, to: 13, days: 2 }, { days: 3 });
  expect(goRound(weak, { rules }).raised).toEqual([]); // eighteen a day, as under a grey sky
});

test('a pump that starts and stops in the first hours of weak sun is healthy', () => {
  const early = { ...often, from: 5, to: 7 };
  expect(goRound(beating(early), { rules }).raised).toEqual([]);
  const dull = beating({ ...often, days: 0 }, { sky: (t) => ((t / MINUTE) % 20 < 10 ? 1 : 0.2) });
  expect(goRound(dull, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = beating({ ...often, days: 0 }, { days: 3 });
  const noon = calm.from + DAY + 12 * HOUR;
  const holes = Array.from({ length: 20 }, (_, i) => noon + i * 6 * MINUTE);
  const traces = holes.reduce((all, t) => cutOut(all, t, t + 4 * MINUTE), calm.traces);
  const healthy = goRound({ ...calm, traces }, { rules });
  expect(healthy.raised).toEqual([]);
  expect(goRound(calm, { rules, from: noon, days: healthy.days.slice(0, 1) }).raised).toEqual([]);
  const bad = beating(often, { days: 4 });
  const silent = cutOut(bad.traces, bad.from + DAY, bad.to);
  const gap = goRound({ ...bad, traces: silent }, { rules });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});
