import { expect, test } from 'vitest';
import { pairOffset } from '../../model/rules/pair-offset.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const DAY = 86_400_000;
const rules = [pairOffset];
const setup = { tub: { litres: 3000 } };
const made = (options: LoopDaysOptions, days = 9) =>
  loopDays({ kit: 'B', everyMs: 120_000, days, setup, tubC: 30, backupC: null, ...options });
const off =
  (byK: number, from: number, to = 99) =>
  (value: number, { day }: Scene) =>
    day >= from && day < to ? value + byK : value;

for (const [point, byK] of [
  ['collector/inlet', 1.2],
  ['collector/inlet', -1.2],
  ['collector/outlet', 1.2],
] as const) {
  test(`${point} off by ${byK} K is told on the third day, with its correction, and ends`, () => {
    const loop = made({ bends: { [point]: off(byK, 4, 7) } }, 11);
    const { raised } = goRound(loop, { rules });
    expect(raised).toHaveLength(1);
    const { evidence, raisedAt, until } = raised[0]!;
    expect((raisedAt - loop.from) / DAY).toBe(7);
    expect((until! - loop.from) / DAY).toBe(10);
    expect(evidence.sensor).toBe(point);
    expect(Math.abs((evidence.correctionK as number) + byK)).toBeLessThan(0.2);
  });
}

test('what strays less, on two days only, or with the season, is not told', () => {
  const outlet = 'collector/outlet';
  expect(goRound(made({ bends: { 'collector/inlet': off(0.5, 4) } }), { rules }).raised).toEqual(
    [],
  );
  expect(goRound(made({ bends: { [outlet]: off(0.6, 4) } }), { rules }).raised).toEqual([]);
  expect(goRound(made({ bends: { [outlet]: off(1.4, 4, 6) } }), { rules }).raised).toEqual([]);
  const sky = (_: number, day: number) => (day < 4 ? 1 : 0.45);
  expect(goRound(made({ sky, airC: { mean: 8, swing: 6 } }), { rules }).raised).toEqual([]);
});

test('a pair that was off from the first day is its own measure', () => {
  expect(goRound(made({ bends: { 'collector/outlet': off(1.4, 0) } }), { rules }).raised).toEqual(
    [],
  );
});

test('pipes without flow are no offset', () => {
  const stuck = {
    'pump/flow': (value: number, { day }: Scene) => (day > 4 ? 0 : value),
    'collector/inlet': (value: number, { day, airC }: Scene) => (day > 4 ? airC + 12 : value),
  };
  expect(goRound(made({ bends: stuck }), { rules }).raised).toEqual([]);
});

test('a restart goes on with the days before, and a day without readings ends nothing', () => {
  const loop = made({ bends: { 'collector/inlet': off(1.2, 4) } }, 10);
  const from = loop.from + 7.5 * DAY;
  const first = goRound(loop, { rules, to: from });
  const standing = first.raised.map((alert) => structuredClone(alert));
  const traces = new Map(cutOut(loop.traces, from, from + DAY));
  const again = goRound({ ...loop, traces }, { rules, from, days: first.days, standing });
  expect(standing).toHaveLength(1);
  expect(again.changes).toEqual([]);
});
