import { expect, test } from 'vitest';
import { MINUTE } from '../../model/readings.ts';
import { hotWaterToTub } from '../../model/rules/hot-water-to-tub.ts';
import { goRound } from './go-round.ts';
import { cutOut, loopDays, type Scene } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [hotWaterToTub];

/** A day on which the pump runs from 10 to 14 h and brings water of `outletC`. */
const bringing = (outletC: (scene: Scene) => number, setup = {}) =>
  loopDays({
    kit: 'B',
    setup,
    everyMs: 30_000,
    backupC: null,
    happens: (scene) => {
      scene.pumpOn = scene.hour >= 10 && scene.hour < 14;
      scene.lPerMin = scene.pumpOn ? 3 : 0;
      scene.tubC = 36;
    },
    bends: { 'collector/outlet': (_, scene) => outletC(scene) },
  });

test('water of 57 °C into the tub is told within minutes, of 62 °C as danger', () => {
  for (const [outletC, severity] of [
    [57, 'act'],
    [62, 'danger'],
  ] as const) {
    const made = bringing(({ hour }) => (hour > 11 && hour < 12 ? outletC : 45));
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    expect(raised[0]!.severity).toBe(severity);
    const minutes = (raised[0]!.raisedAt - made.from - 11 * HOUR) / MINUTE;
    console.info(`${outletC} °C is told after ${minutes} min`);
    expect(minutes).toBeLessThanOrEqual(5);
    expect(raised[0]!.until! - made.from).toBeLessThanOrEqual(12 * HOUR + 10 * MINUTE);
  }
});

test('water just below 55 °C is not told', () => {
  expect(
    goRound(
      bringing(() => 54.6),
      { rules },
    ).raised,
  ).toEqual([]);
});

test('a lower limit of the set-up is told from there on', () => {
  const setup = { faults: { 'hot-water-to-tub': { limits: { actC: 45 } } } };
  const made = bringing(({ hour }) => (hour > 11 && hour < 12 ? 47 : 38), setup);
  expect(goRound(made, { rules }).raised).toMatchObject([{ severity: 'act' }]);
});

test('the hot water that stood in the collectors is gone within minutes of a start', () => {
  const slug = bringing(({ hour }) => 40 + 40 * Math.exp(-Math.max(0, hour - 10) * 30));
  expect(goRound(slug, { rules }).raised).toEqual([]);
});

test('hot water that comes back run after run is told, once, until it stops', () => {
  const made = loopDays({
    kit: 'B',
    everyMs: 30_000,
    backupC: null,
    happens: (scene) => {
      scene.pumpOn = scene.hour >= 10 && scene.hour < 16 && (scene.t / MINUTE) % 14 < 7;
      scene.lPerMin = scene.pumpOn ? 3 : 0;
      scene.tubC = 36;
    },
    bends: { 'collector/outlet': (_, { pumpOn }) => (pumpOn ? 68 : 40) },
  });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.severity).toBe('danger');
  expect((raised[0]!.raisedAt - made.from) / HOUR).toBeLessThan(10.7);
  expect((raised[0]!.until! - made.from) / HOUR).toBeGreaterThan(15.9);
  expect((raised[0]!.until! - made.from) / HOUR).toBeLessThan(17.2);
});

test('a pipe that stands hot in the sun with nothing flowing hurts nobody', () => {
  const still = bringing(({ hour }) => (hour > 15 && hour < 17 ? 64 : 40));
  expect(goRound(still, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const made = bringing(({ hour }) => (hour > 11 ? 58 : 45));
  const traces = cutOut(made.traces, made.from + 12 * HOUR, made.from + 20 * HOUR);
  const gap = goRound({ ...made, traces }, { rules, to: made.from + 19 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
  const calm = bringing(() => 45);
  expect(goRound(calm, { rules, from: made.from + 12 * HOUR }).raised).toEqual([]);
});
