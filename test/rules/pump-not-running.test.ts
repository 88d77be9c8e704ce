import { expect, test } from 'vitest';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { frozenReading } from '../../model/rules/frozen-reading.ts';
import { pumpNotRunning } from '../../model/rules/pump-not-running.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [pumpNotRunning];
const made = (more: LoopDaysOptions = {}) =>
  loopDays({ everyMs: 60_000, tubC: 30, backupC: null, ...more });
/** The pump stands still from one hour to another, whatever the controller asks for. */
const standing = (from: number, to: number) => (scene: Scene) => {
  if (scene.hour < from || scene.hour >= to) return;
  scene.pumpOn = false;
  scene.lPerMin = 0;
  scene.pumpW = 0;
};

for (const kit of ['A', 'C'] as const) {
  test(`a pump that stands still in sun is told, and ends once it runs, with kit ${kit}`, () => {
    const loop = made({ kit, happens: standing(12, 14) });
    const { raised } = goRound(loop, { rules });
    expect(raised).toHaveLength(1);
    const { raisedAt, until, evidence, severity } = raised[0]!;
    const minutes = (raisedAt - loop.from - 12 * HOUR) / MINUTE;
    console.info(`kit ${kit}: told after ${minutes} min`);
    expect(minutes).toBeGreaterThanOrEqual(15);
    expect(minutes).toBeLessThanOrEqual(30);
    expect(severity).toBe('act');
    expect(evidence.differenceK).toBeGreaterThanOrEqual(12);
    expect((until! - loop.from - 14 * HOUR) / MINUTE).toBeGreaterThanOrEqual(0);
    expect((until! - loop.from - 14 * HOUR) / MINUTE).toBeLessThanOrEqual(5);
  });
}

test('collectors that stay just below 12 K above the tub are not worth a word', () => {
  const warm = (aboveK: number) =>
    made({
      happens: standing(0, 24),
      bends: { 'collector/temperature': (c, { tubC }) => Math.min(c, tubC + aboveK) },
    });
  expect(goRound(warm(11.5), { rules }).raised).toEqual([]);
  expect(goRound(warm(12.5), { rules }).raised).toHaveLength(1);
});

test('a pump that stands for ten minutes only is not told', () => {
  expect(goRound(made({ happens: standing(12, 12.2) }), { rules }).raised).toEqual([]);
});

test('a pump that rests because the tub is warm enough is not told', () => {
  const loop = made({ tubC: 39.2, airC: { mean: 22, swing: 5 } });
  const hottest = Math.max(...loop.traces.get('collector/temperature')!.v);
  expect(hottest).toBeGreaterThan(80);
  expect(goRound(loop, { rules }).raised).toEqual([]);
});

test('a pump that rests at a limit which a frozen thermometer hides is not told', () => {
  let frozenC: number | null = null;
  const bend = (tubC: number, { hour }: Scene) => {
    if (hour < 10) return tubC;
    frozenC ??= tubC;
    return frozenC;
  };
  const loop = made({ tubC: 36.5, bends: { 'tub/temperature': bend } });
  expect(frozenC).toBeLessThan(loop.settings.tub.limitC - 0.85);
  const { raised } = goRound(loop, { rules: [frozenReading, pumpNotRunning] });
  expect(raised.map(({ fault }) => fault)).toEqual(['frozen-reading']);
});

test('night ends nothing: the alert stands until the pump was seen to run', () => {
  const { raised } = goRound(made({ happens: standing(12, 24) }), { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.until).toBeNull();
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = made();
  const traces = cutOut(calm.traces, calm.from + 8 * HOUR, calm.from + 13 * HOUR);
  expect(goRound({ ...calm, traces }, { rules }).raised).toEqual([]);
  expect(goRound(calm, { rules, from: calm.from + 13 * HOUR }).raised).toEqual([]);
  const dead = made({ happens: standing(11, 24) });
  const cut = cutOut(dead.traces, dead.from + 13 * HOUR, dead.from + 15 * HOUR);
  const gap = goRound({ ...dead, traces: cut }, { rules, to: dead.from + 14 * HOUR });
  expect(gap.raised).toHaveLength(1);
  expect(gap.raised[0]!.until).toBeNull();
});

test('a controller that was seen to start late within a day is not taken for a dead pump', () => {
  let asked = false;
  const late = made({
    days: 2,
    happens: (scene) => {
      const differenceK = scene.collectorC - scene.tubC;
      asked = asked ? differenceK > 3 : differenceK > 24;
      scene.pumpOn = asked;
      scene.lPerMin = asked ? 3.5 : 0;
    },
    sky: (t) => (Math.floor(t / HOUR) % 2 === 0 ? 0.6 : 0.3),
  });
  const starts = late.traces.get('pump/running')!.v.filter((on, i, all) => on > (all[i - 1] ?? 0));
  expect(starts.length).toBeGreaterThan(3);
  const { raised } = goRound(late, { rules });
  expect(raised.filter(({ raisedAt }) => raisedAt > late.from + 24 * HOUR)).toEqual([]);
});

test('a pump on its own panel rests under a grey sky', () => {
  const own = (sky: number) =>
    made({
      kit: 'A',
      setup: { pump: { supply: 'own-panel' } },
      sky: () => sky,
      tubC: 18,
      happens: standing(0, 24),
    });
  const hottest = (sky: number) =>
    Math.max(...own(sky).traces.get('collector/temperature')!.v) - 18;
  expect(hottest(0.16)).toBeGreaterThan(13);
  expect(goRound(own(0.16), { rules }).raised).toEqual([]);
  expect(goRound(own(0.8), { rules }).raised).toHaveLength(1);
});
