import { expect, test } from 'vitest';
import { HOUR } from '../../model/readings.ts';
import { flowFalling } from '../../model/rules/flow-falling.ts';
import { runningWithoutFlow } from '../../model/rules/running-without-flow.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const rules = [flowFalling];
const DAY = 24 * HOUR;
/** Less water from the fourth day on, until a later one. */
const moving = (share: number, more: LoopDaysOptions = {}, until = 99, from = 3) =>
  loopDays({
    kit: 'B',
    everyMs: 120_000,
    days: 7,
    tubC: 24,
    backupC: null,
    setup: { tub: { litres: 6000 } },
    happens: (scene: Scene) => {
      if (scene.day >= from && scene.day < until) scene.lPerMin *= share;
    },
    ...more,
  });

for (const [share, severity] of [
  [0.72, 'look'],
  [0.55, 'act'],
] as const) {
  test(`${share} of the usual flow on three days is told (${severity}), and ends`, () => {
    const made = moving(share, { days: 8 }, 6);
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    const { raisedAt, until, evidence } = raised[0]!;
    expect(raised[0]!.severity).toBe(severity);
    expect((raisedAt - made.from) / DAY).toBe(6);
    expect((until! - made.from) / DAY).toBe(7);
    expect(evidence.share).toBeCloseTo(share, 2);
    expect(evidence.usualLPerMin).toBeCloseTo(3.5, 2);
  });
}

test('five sixths of the flow, or less on two days only, are not told', () => {
  expect(goRound(moving(0.83), { rules }).raised).toEqual([]);
  expect(goRound(moving(0.6, {}, 5), { rules }).raised).toEqual([]);
});

test('a meter that tells less while the collectors stay as cool as ever is not believed', () => {
  const bends = { 'pump/flow': (flow: number, { day }: Scene) => (day > 3 ? 0.6 * flow : flow) };
  expect(goRound(moving(1, { bends }), { rules }).raised).toEqual([]);
});

test('without a meter half of the flow shows after five days, as collectors that are hotter', () => {
  const made = moving(0.5, { kit: 'A', days: 14 }, 99, 8);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - made.from) / DAY).toBeLessThanOrEqual(13);
  expect(raised[0]!.evidence.timesUsual).toBeGreaterThan(1.4);
});

test('days on which no water moved at all are not taken for ones with less', () => {
  const happens = (scene: Scene) => {
    if (scene.day > 8.5 && scene.day < 11.5) scene.lPerMin = 0;
  };
  const made = moving(1, { kit: 'A', days: 14, happens });
  const { raised } = goRound(made, { rules: [runningWithoutFlow, flowFalling] });
  expect(raised.map(({ fault }) => fault)).toEqual(['running-without-flow']);
  expect((raised[0]!.until! - made.from) / DAY).toBeLessThan(13);
});

test('days without sun are no days with less water', () => {
  const sky = (_: number, day: number) => (day > 3 ? 0.3 : 1);
  expect(goRound(moving(1, { sky }), { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const made = moving(0.55, { days: 8 });
  const noon = made.from + 6.5 * DAY;
  const first = goRound(made, { rules, to: noon });
  const standing = first.raised.map((alert) => structuredClone(alert));
  expect(standing).toHaveLength(1);
  const traces = cutOut(made.traces, noon - 12 * HOUR, made.to);
  const again = goRound({ ...made, traces }, { rules, from: noon, days: first.days, standing });
  expect(again.changes).toEqual([]);
  const calm = moving(1);
  const holes = cutOut(calm.traces, calm.from + 3.4 * DAY, calm.from + 5.5 * DAY);
  expect(goRound({ ...calm, traces: holes }, { rules }).raised).toEqual([]);
});
