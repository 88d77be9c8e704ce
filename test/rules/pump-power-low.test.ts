import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { pumpPowerLow } from '../../model/rules/pump-power-low.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [pumpPowerLow];
const DAY = 24 * HOUR;
/** A usual day, and one on which the pump draws this share of it from 12 to 13:30. */
const drawing = (share: number, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'C',
    everyMs: 60_000,
    days: 2,
    tubC: 24,
    backupC: null,
    setup: { tub: { litres: 3000 } },
    happens: (scene) => {
      if (scene.day > 1.5 && scene.day < 1.5625) scene.pumpW *= share;
    },
    ...more,
  });

test('a pump that draws half of what is usual is told within minutes, and ends', () => {
  const made = drawing(0.5);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { raisedAt, until, evidence } = raised[0]!;
  const minutes = (raisedAt - made.from - DAY - 12 * HOUR) / MINUTE;
  expect(minutes).toBeGreaterThanOrEqual(3);
  expect(minutes).toBeLessThanOrEqual(6);
  expect(evidence.share).toBeCloseTo(0.5, 2);
  expect(evidence.usualWatts).toBeCloseTo(13, 1);
  expect(evidence.withoutFlow).toBe(false);
  const ended = (until! - made.from - DAY - 13.5 * HOUR) / MINUTE;
  expect(ended).toBeGreaterThanOrEqual(0);
  expect(ended).toBeLessThanOrEqual(2);
});

test('two thirds of it are not told', () => {
  expect(goRound(drawing(0.65), { rules }).raised).toEqual([]);
});

test('a pump without any power does not run dry', () => {
  expect(goRound(drawing(0), { rules }).raised).toEqual([]);
});

test('a pump that is driven at several speeds has no usual draw', () => {
  const speeds = drawing(1, {
    happens: (scene) => {
      if (Math.floor(scene.t / (20 * MINUTE)) % 2 === 0) scene.pumpW *= 0.5;
    },
  });
  expect(goRound(speeds, { rules }).raised).toEqual([]);
});

test('on the first day nothing is usual yet', () => {
  const first = drawing(1, {
    days: 1,
    happens: (scene) => {
      if (scene.hour > 12) scene.pumpW *= 0.4;
    },
  });
  expect(goRound(first, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = drawing(1);
  const noon = calm.from + DAY + 12 * HOUR;
  const traces = cutOut(calm.traces, noon - 2 * HOUR, noon + HOUR, ['pump/power']);
  const healthy = goRound({ ...calm, traces }, { rules });
  expect(healthy.raised).toEqual([]);
  expect(goRound(calm, { rules, from: noon, days: healthy.days.slice(0, 1) }).raised).toEqual([]);
  const low = drawing(0.5);
  const cut = cutOut(low.traces, noon + 0.5 * HOUR, low.to);
  const gap = goRound({ ...low, traces: cut }, { rules, to: noon + 3 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
  expect(gap.raised[0]!.unknownSince).not.toBeNull();
});

test('once it draws what it should in a short run, the rest after it does not keep it standing', () => {
  const made = drawing(1, {
    happens: (scene) => {
      if (scene.day < 1.5) return;
      if (scene.day < 1.5625) scene.pumpW *= 0.5;
      else if (scene.day > 1.568) scene.pumpOn = false;
      if (!scene.pumpOn) scene.lPerMin = scene.pumpW = 0;
    },
  });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect((raised[0]!.until! - made.from - DAY - 13.5 * HOUR) / MINUTE).toBeLessThanOrEqual(10);
});
