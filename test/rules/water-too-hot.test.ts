import { expect, test } from 'vitest';
import { MINUTE } from '../../model/readings.ts';
import { waterTooHot } from '../../model/rules/water-too-hot.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [waterTooHot];

/** A day of a tub that is at `tubC` by the hour, with the pump at rest unless `happens` says otherwise. */
const dayAt = (tubC: (hour: number) => number, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'C',
    everyMs: 60_000,
    backupC: null,
    sky: () => 0,
    ...more,
    happens: (scene) => {
      scene.tubC = tubC(scene.hour);
      more.happens?.(scene);
    },
  });
const hoursAt =
  (high: number, low = 38) =>
  (hour: number) =>
    hour > 10 && hour < 12 ? high : low;
const filter = (from: number, to: number) => (scene: Scene) => {
  scene.filterOn = scene.hour >= from && scene.hour < to;
};

test('water above 40.5 °C for ten minutes is told, above 41 °C as danger', () => {
  const made = dayAt((hour) =>
    hour > 10 && hour < 12 ? 40.7 : hour >= 12 && hour < 13 ? 41.3 : 38,
  );
  const { changes } = goRound(made, { rules });
  const [raised, worse] = changes;
  expect(raised).toMatchObject({ kind: 'raised', alert: { fault: 'water-too-hot' } });
  expect((raised!.alert.raisedAt - made.from) / MINUTE).toBeLessThanOrEqual(10 * 60 + 14);
  expect(worse).toMatchObject({ kind: 'worse', alert: { severity: 'danger' } });
});

test('water just below 40.5 °C, or above it for less than ten minutes, is not told', () => {
  expect(goRound(dayAt(hoursAt(40.35), { noiseK: 0.02 }), { rules }).raised).toEqual([]);
  const short = dayAt((hour) => (hour > 10 && hour < 10.12 ? 40.8 : 38));
  expect(goRound(short, { rules }).raised).toEqual([]);
});

test('a lower limit for people is all that a set-up has to say', () => {
  const setup = { faults: { 'water-too-hot': { limits: { actC: 38, dangerC: 39.5 } } } };
  const made = dayAt(hoursAt(38.6, 36.5), { setup, happens: filter(14, 14.5) });
  const { raised } = goRound(made, { rules });
  expect(raised).toMatchObject([{ severity: 'act' }]);
  expect((raised[0]!.raisedAt - made.from) / MINUTE).toBeLessThanOrEqual(10 * 60 + 14);
  expect((raised[0]!.until! - made.from) / HOUR).toBeLessThan(14.6);
  expect(goRound(dayAt(hoursAt(37.7, 36.5), { setup, noiseK: 0.02 }), { rules }).raised).toEqual(
    [],
  );
});

test('danger below the limit for people is told as danger', () => {
  const setup = { faults: { 'water-too-hot': { limits: { actC: 40.5, dangerC: 39 } } } };
  const { raised } = goRound(dayAt(hoursAt(39.4, 36.5), { setup }), { rules });
  expect(raised).toMatchObject([{ severity: 'danger' }]);
  expect(raised[0]!.since).not.toBeNull();
});

test('a low reading ends it only once the water has been moved for ten minutes', () => {
  const made = dayAt(hoursAt(41.5), { happens: filter(14, 14.5) });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const ended = (raised[0]!.until! - made.from) / HOUR;
  console.info(`cool from 12 h on, mixed at 14 h: over at ${ended.toFixed(2)} h`);
  expect(ended).toBeGreaterThan(14);
  expect(ended).toBeLessThan(14.5);
});

test('where nothing is heard that moves it, six hours of low readings end it', () => {
  const made = dayAt(hoursAt(41.5));
  const ended = (goRound(made, { rules }).raised[0]!.until! - made.from) / HOUR;
  expect(ended).toBeGreaterThan(17.9);
  expect(ended).toBeLessThan(18.4);
});

test('a gap makes it unknown and ends nothing', () => {
  const made = dayAt((hour) => (hour > 10 ? 41.5 : 38));
  const traces = cutOut(made.traces, made.from + 11 * HOUR, made.to);
  const { rounds, raised } = goRound({ ...made, traces }, { rules });
  expect(raised[0]!.until).toBeNull();
  expect([...rounds.life.standing.values()][0]!.unknownSince).not.toBeNull();
});

test('a restart in hot water tells it once more only where nobody told it before', () => {
  const made = dayAt((hour) => (hour > 10 ? 40.8 : 38));
  const before = goRound(made, { rules, to: made.from + 12 * HOUR });
  const standing = [...before.rounds.life.standing.values()];
  const again = goRound(made, { rules, from: made.from + 12 * HOUR, standing });
  expect(again.raised).toEqual([]);
  expect(again.rounds.life.standing.size).toBe(1);
});

test('a single hot reading is no hot water', () => {
  const made = dayAt(() => 38, {
    bends: { 'tub/temperature': (value, { hour }) => (Math.abs(hour - 15) < 0.005 ? 58 : value) },
  });
  expect(goRound(made, { rules }).raised).toEqual([]);
});
