import { expect, test } from 'vitest';
import { toAndFromSwapped } from '../../model/rules/to-and-from-swapped.ts';
import { waterTooHot } from '../../model/rules/water-too-hot.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const HOUR = 3_600_000;
const rules = [toAndFromSwapped];
/** In the second day only, or from the first on. */
const during = (from: number, to: number) => (day: number) => day >= from && day < to;

const pairSwapped = (isSo: (day: number) => boolean): LoopDaysOptions => ({
  kit: 'B',
  bends: {
    'collector/inlet': (value, scene) => (isSo(scene.day) ? scene.outletC : value),
    'collector/outlet': (value, scene) => (isSo(scene.day) ? scene.inletC : value),
  },
});
const tubSwapped = (isSo: (day: number) => boolean): LoopDaysOptions => ({
  kit: 'A',
  bends: {
    'tub/temperature': (value, scene) => (isSo(scene.day) ? scene.collectorC : value),
    'collector/temperature': (value, scene) => (isSo(scene.day) ? scene.tubC : value),
  },
});
const made = (options: LoopDaysOptions, days = 3) =>
  loopDays({ everyMs: 60_000, days, ...options });

test('to and from exchanged are told on the first sunny run, and end on the first after', () => {
  const loop = made(pairSwapped(during(1, 2)));
  const { raised } = goRound(loop, { rules });
  expect(raised).toHaveLength(1);
  const hours = (raised[0]!.raisedAt - loop.from) / HOUR;
  expect(hours).toBeGreaterThan(24);
  expect(hours).toBeLessThan(24 + 13);
  expect(raised[0]!.evidence.swapped).toBe('pair');
  expect((raised[0]!.until! - loop.from) / HOUR).toBeLessThan(48 + 13);
});

test('tub and collectors exchanged are told at once, by night and from the very beginning', () => {
  for (const [from, within] of [
    [1, 0.3],
    [1.43, 0.3],
    [0, 6],
  ] as const) {
    const loop = made(tubSwapped(during(from, from + 1)));
    const { raised } = goRound(loop, { rules });
    expect(raised, `from ${from}`).toHaveLength(1);
    expect((raised[0]!.raisedAt - loop.from) / HOUR - 24 * from, `from ${from}`).toBeLessThan(
      within,
    );
    expect(raised[0]!.evidence.swapped).toBe('tub');
    expect(raised[0]!.until, `from ${from}`).not.toBeNull();
  }
});

test('tub and collectors that were swapped before rounds began are told before the tub seems hot', () => {
  const loop = made(
    tubSwapped(() => true),
    1,
  );
  const at = loop.from + 5.5 * HOUR;
  const traces = cutOut(loop.traces, loop.from, at);
  const { raised } = goRound({ ...loop, traces: new Map(traces) }, { rules });
  expect(raised).toHaveLength(1);
  const tub = loop.traces.get('tub/temperature')!;
  const hottest = Math.max(...tub.v.filter((_, i) => tub.t[i]! <= raised[0]!.raisedAt));
  expect(hottest).toBeLessThan(40.5);
});

test('a swapped pair does not hush that the water is too hot, a swapped tub does', () => {
  for (const [swapped, told] of [
    [pairSwapped, 1],
    [tubSwapped, 0],
  ] as const) {
    const loop = made({
      ...swapped(() => true),
      backupC: null,
      happens: (scene) => {
        if (scene.day > 1.8 && scene.day < 2) scene.tubC = 42;
      },
    });
    const { raised } = goRound(loop, { rules: [toAndFromSwapped, waterTooHot] });
    expect(raised.filter(({ fault }) => fault === 'water-too-hot')).toHaveLength(told);
    expect(raised.filter(({ fault }) => fault === 'to-and-from-swapped')).toHaveLength(1);
  }
});

test('a healthy loop, and one whose pair is a little off, is not told to be swapped', () => {
  for (const kit of ['A', 'B', 'C'] as const) {
    expect(goRound(made({ kit, baths: [[19, 20]] }), { rules }).raised).toEqual([]);
  }
  const off = {
    'collector/outlet': (value: number) => value - 1,
    'collector/inlet': (value: number) => value + 0.4,
  };
  expect(goRound(made({ kit: 'B', bends: off }), { rules }).raised).toEqual([]);
});

test('cold pipes of a loop without flow are no swapped pair', () => {
  const happens = (scene: Scene) => {
    scene.lPerMin = 0;
  };
  const bends = {
    'pump/running': (value: number, { sunWPerM2 }: Scene) => (sunWPerM2 > 200 ? 1 : value),
    'pump/flow': () => 0,
    'collector/outlet': (_: number, { airC }: Scene) => airC + 3,
    'collector/inlet': (_: number, { airC }: Scene) => airC + 8,
  };
  expect(goRound(made({ kit: 'B', happens: () => undefined, bends }), { rules }).raised).toEqual(
    [],
  );
  expect(
    goRound(made({ kit: 'A', happens, bends: { 'pump/running': bends['pump/running'] } }), {
      rules,
    }).raised,
  ).toEqual([]);
});

test('a gap, a restart and an old value raise and end nothing', () => {
  const healthy = made({ kit: 'B' });
  const gap = new Map(cutOut(healthy.traces, healthy.from + 10 * HOUR, healthy.from + 13 * HOUR));
  expect(goRound({ ...healthy, traces: gap }, { rules }).raised).toEqual([]);
  expect(goRound(healthy, { rules, from: healthy.from + 36 * HOUR }).raised).toEqual([]);
  const swapped = made(pairSwapped(() => true));
  const first = goRound(swapped, { rules, to: swapped.from + 26 * HOUR });
  const standing = first.raised.map((alert) => structuredClone(alert));
  const again = goRound(swapped, { rules, from: swapped.from + 26 * HOUR, standing });
  expect(standing).toHaveLength(1);
  expect(again.changes).toEqual([]);
});
