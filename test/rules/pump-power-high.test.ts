import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { pumpPowerHigh } from '../../model/rules/pump-power-high.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [pumpPowerHigh];
const DAY = 24 * HOUR;
/** A usual day, and one on which something happens to the pump from 12 to 13:30. */
const pump = (wrong: (scene: Scene) => void, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'C',
    everyMs: 60_000,
    days: 2,
    tubC: 24,
    backupC: null,
    setup: { tub: { litres: 3000 } },
    happens: (scene) => {
      if (scene.day > 1.5 && scene.day < 1.5625) wrong(scene);
    },
    ...more,
  });
const drawing = (share: number) =>
  pump((scene) => {
    scene.pumpW *= share;
  });
/** No power reaches it; its collectors are kept so far above the tub. */
const cutOff = (aboveK: number) => (scene: Scene) => {
  scene.asked = true;
  scene.pumpOn = false;
  scene.lPerMin = 0;
  scene.pumpW = 0;
  scene.collectorC = scene.tubC + aboveK;
};
const after = (made: { from: number }, t: number) => (t - made.from - DAY - 12 * HOUR) / MINUTE;

test('a pump that draws half as much again is told within minutes, and ends', () => {
  const made = drawing(1.5);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { evidence, raisedAt, until } = raised[0]!;
  expect(evidence.kind).toBe('high');
  expect(evidence.share).toBeCloseTo(1.5, 2);
  expect(after(made, raisedAt)).toBeLessThanOrEqual(4);
  expect(after(made, until!)).toBeGreaterThanOrEqual(90);
  expect(after(made, until!)).toBeLessThanOrEqual(92);
});

test('a quarter more is not told', () => {
  expect(goRound(drawing(1.25), { rules }).raised).toEqual([]);
});

test('a pump that is asked for a quarter of an hour and draws nothing has no power', () => {
  const made = pump(cutOff(9));
  const { raised } = goRound(made, { rules });
  expect(raised.map(({ evidence }) => evidence.kind)).toEqual(['powerless']);
  expect(after(made, raised[0]!.raisedAt)).toBeGreaterThanOrEqual(15);
  expect(after(made, raised[0]!.raisedAt)).toBeLessThanOrEqual(20);
  expect(after(made, raised[0]!.until!)).toBeGreaterThanOrEqual(90);
  expect(after(made, raised[0]!.until!)).toBeLessThanOrEqual(95);
});

test('over hot collectors the pump that stands still is left to tell it', () => {
  expect(goRound(pump(cutOff(20)), { rules }).raised).toEqual([]);
});

test('power now and then, and none in between, is a rotor that is held', () => {
  const pulsing = pump((scene) => {
    cutOff(20)(scene);
    if (Math.floor(scene.t / MINUTE) % 5 === 0) scene.pumpW = 13;
  });
  const { raised } = goRound(pulsing, { rules });
  expect(raised.map(({ evidence }) => evidence.kind)).toEqual(['pulses']);
});

test('a pump that is not asked may draw nothing', () => {
  const resting = pump((scene) => {
    cutOff(9)(scene);
    scene.asked = false;
  });
  expect(goRound(resting, { rules }).raised).toEqual([]);
});

test('the same beats are what a pump on its own panel does under clouds', () => {
  const setup = { tub: { litres: 3000 }, pump: { supply: 'own-panel' as const } };
  const clouds = pump(
    (scene) => {
      if (Math.floor(scene.t / MINUTE) % 5 !== 0) scene.pumpW = 0;
    },
    { setup },
  );
  expect(goRound(clouds, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = drawing(1);
  const noon = calm.from + DAY + 12 * HOUR;
  const traces = cutOut(calm.traces, noon - 2 * HOUR, noon + HOUR, ['pump/power']);
  const healthy = goRound({ ...calm, traces }, { rules });
  expect(healthy.raised).toEqual([]);
  expect(goRound(calm, { rules, from: noon, days: healthy.days.slice(0, 1) }).raised).toEqual([]);
  const high = drawing(1.5);
  const cut = cutOut(high.traces, noon + 0.5 * HOUR, high.to);
  const gap = goRound({ ...high, traces: cut }, { rules, to: noon + 3 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});
