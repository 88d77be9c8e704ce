import { describe, expect, test } from 'vitest';
import { Rounds } from '../../model/alerts/rounds.ts';
import type { WorkingStates } from '../../model/minutes/minute.ts';
import { type UsualOfDay, usualOf } from '../../model/minutes/usual.ts';
import { settlesMs } from '../../model/minutes/working-states.ts';
import { MINUTE } from '../../model/readings.ts';
import { goRound } from './go-round.ts';
import { type LoopDays, type LoopDaysOptions, loopDays } from './loop-days.ts';

/** The states at every minute of made-up days. */
function statesOf(made: LoopDays): { hour: number; tubC: number | null; states: WorkingStates }[] {
  const { versions, from, to, traces } = made;
  const rounds = new Rounds({ rules: [], versions, from });
  const seen = [];
  for (let t = from + MINUTE; t <= to; t += MINUTE) {
    rounds.advance(traces, t);
    const { states, tubC } = rounds.now;
    seen.push({ hour: (t - from) / 3_600_000, tubC, states: { ...states } });
  }
  return seen;
}

const dayOf = (options: LoopDaysOptions) => statesOf(loopDays({ backupC: null, ...options }));

/** First and last hour of a state within some hours, and how many minutes it was so. */
function span(
  seen: ReturnType<typeof statesOf>,
  state: keyof WorkingStates,
  [from, to]: readonly [number, number] = [0, 48],
) {
  const so = seen.filter(({ hour, states }) => hour >= from && hour < to && states[state] === true);
  return { from: so[0]?.hour ?? null, to: so.at(-1)?.hour ?? null, minutes: so.length };
}

test('the loop settles for five minutes, or for three rounds of its water', () => {
  const { settings } = loopDays({ days: 0 });
  const litres = 0.154 * 24 + 0.8 * 3.2;
  expect(settlesMs(settings, 3.5)).toBeCloseTo((3 * litres * MINUTE) / 3.5, 6);
  expect(settlesMs(settings, 8)).toBe(5 * MINUTE);
  expect(settlesMs(settings, 0.2)).toBe(20 * MINUTE);
});

test('after each change of the pump the loop settles, and then no more', () => {
  const seen = dayOf({ everyMs: 60_000 });
  const changed = seen.filter(({ states }) => states.pumpMinutes < 4);
  expect(changed.length).toBeGreaterThan(4);
  expect(changed.every(({ states }) => states.settling)).toBe(true);
  const long = seen.filter(({ states }) => states.pumpMinutes > 6 && states.pumpMinutes < 600);
  expect(long.length).toBeGreaterThan(60);
  expect(long.some(({ states }) => states.settling)).toBe(false);
});

test('it is dark at night, the sun is possible by day, and neither in between', () => {
  const seen = dayOf({ everyMs: 300_000 });
  const at = (hour: number) => seen.find((one) => one.hour >= hour)!.states;
  expect([at(1).dark, at(1).sunPossible]).toEqual([true, false]);
  expect([at(13).dark, at(13).sunPossible]).toEqual([false, true]);
  const sun = span(seen, 'sunPossible');
  expect(at(sun.from! - 0.2).dark).toBe(false);
  expect(seen.some(({ states }) => states.dark && states.sunPossible)).toBe(false);
});

describe('the pause at the limit', () => {
  test('begins 0.85 K below it and ends a quarter hour after the tub is 1.5 K below', () => {
    const tubC = (_: number, { hour }: { hour: number }) =>
      hour < 6 ? 38.5 : hour < 10 ? 38.75 : hour < 14 ? 38.25 : 37.9;
    const seen = dayOf({ everyMs: 60_000, bends: { 'tub/temperature': tubC } });
    const pause = span(seen, 'limitPause');
    expect(pause.from).toBeGreaterThanOrEqual(6);
    expect(pause.from).toBeLessThan(6.1);
    expect(pause.to).toBeGreaterThan(14.2);
    expect(pause.to).toBeLessThan(14.35);
    expect(pause.minutes).toBeGreaterThan(8 * 60);
  });

  const day = (fact: Partial<UsualOfDay>) => ({
    date: '2026-01-12',
    from: 0,
    to: 1,
    fact: {
      lPerMin: null,
      pumpW: null,
      middayK: null,
      highestStartC: null,
      highestRunC: null,
      hotStopsC: [],
      ...fact,
    },
  });
  const { settings } = loopDays({ days: 0 });
  const limitOf = (...facts: Partial<UsualOfDay>[]) => usualOf(facts.map(day), settings).limitC;

  test('is learned where the controller stopped on hot collectors at one temperature', () => {
    expect(limitOf({ hotStopsC: [37.2, 37.3], highestRunC: 37.3 }, { hotStopsC: [37.2] })).toBe(
      37.2,
    );
    expect(limitOf({ hotStopsC: [37.2, 37.3], highestRunC: 37.3 })).toBeNull();
    expect(limitOf({ hotStopsC: [31, 34, 37.2] })).toBeNull();
    expect(limitOf({ hotStopsC: [39.6, 39.6, 39.7] })).toBeNull();
  });

  test('is not learned where the pump has run on with a warmer tub since', () => {
    const stops = { hotStopsC: [35, 35.2, 35.1], highestRunC: 35.2 };
    expect(limitOf(stops, { highestRunC: 38 })).toBeNull();
    expect(limitOf({ highestRunC: 38 }, stops)).toBe(35.1);
  });

  test('is seen at a limit of the controller that the set-up does not know', () => {
    let isFull = false;
    const full = (scene: { tubC: number; asked: boolean; pumpOn: boolean; lPerMin: number }) => {
      isFull = scene.tubC >= (isFull ? 36.5 : 37);
      if (!isFull) return;
      scene.asked = false;
      scene.pumpOn = false;
      scene.lPerMin = 0;
    };
    const setup = { collectors: { count: 8 } };
    const made = loopDays({ days: 5, everyMs: 60_000, tubC: 36.5, happens: full, setup });
    const { rounds } = goRound(made, { rules: [] });
    expect(rounds.now.usual.limitC).toBeCloseTo(37, 0);
    expect(rounds.now.settings.tub.limitC).toBe(39.5);
  });
});

describe('bathing', () => {
  for (const stepK of [0.0625, 0.5]) {
    test(`shows in how fast an open tub cools, with steps of ${stepK} K`, () => {
      const seen = dayOf({ stepK, noiseK: 0.02, baths: [[20, 22]], everyMs: 60_000 });
      const bath = span(seen, 'bathing', [18, 24]);
      expect(bath.from).toBeGreaterThan(20.2);
      expect(bath.from).toBeLessThan(21.2);
      expect(bath.to).toBeGreaterThan(22.2);
      expect(bath.to).toBeLessThan(23.5);
    });

    test(`is not seen in a covered tub at night, with steps of ${stepK} K`, () => {
      const seen = dayOf({ stepK, noiseK: 0.02, airC: { mean: 2, swing: 4 }, everyMs: 60_000 });
      expect(span(seen, 'bathing').minutes).toBe(0);
      expect(span(seen, 'topUp').minutes).toBe(0);
    });
  }

  test('stands while the cover is open, and half an hour more', () => {
    const seen = dayOf({ kit: 'C', baths: [[20, 20.5]], everyMs: 60_000 });
    const bath = span(seen, 'bathing', [19, 24]);
    expect(bath.from).toBeCloseTo(20, 1);
    expect(bath.to).toBeGreaterThan(21);
    expect(bath.to).toBeLessThan(21.6);
  });
});

describe('a top-up', () => {
  const poured = (hour: number, byK: number) => (scene: { hour: number; tubC: number }) => {
    if (scene.hour >= hour && scene.hour < hour + 1 / 12) scene.tubC -= byK / 30;
  };

  test('shows as a fall by 0.4 K within a quarter hour', () => {
    const top = span(dayOf({ everyMs: 60_000, happens: poured(2, 0.6) }), 'topUp');
    expect(top.from).toBeGreaterThan(2);
    expect(top.from).toBeLessThan(2.2);
    expect(top.minutes).toBeGreaterThanOrEqual(30);
    expect(span(dayOf({ everyMs: 60_000, happens: poured(2, 0.2) }), 'topUp').minutes).toBe(0);
  });

  test('has to be more than one step of a coarse thermometer', () => {
    const coarse = { stepK: 0.5, noiseK: 0.02, everyMs: 60_000 };
    expect(span(dayOf({ ...coarse, happens: poured(2, 1.2) }), 'topUp').from).toBeLessThan(2.2);
    expect(span(dayOf({ ...coarse, happens: poured(2, 0.4) }), 'topUp').minutes).toBe(0);
  });
});

test('a pump that runs on freezing collectors in the dark runs so that they do not freeze', () => {
  const thaw = (scene: { hour: number; pumpOn: boolean; lPerMin: number }) => {
    if (scene.hour < 2 || scene.hour > 2.5) return;
    scene.pumpOn = true;
    scene.lPerMin = 3.5;
  };
  const bends = {
    'collector/temperature': (value: number, { hour }: { hour: number }) =>
      hour > 2 && hour < 3 ? 5 : value,
  };
  const run = span(dayOf({ happens: thaw, bends, everyMs: 60_000 }), 'freezeRun');
  expect(run.from).toBeCloseTo(2, 1);
  expect(run.minutes).toBeGreaterThan(25);
  expect(run.minutes).toBeLessThan(35);
});

test('a filter that was last heard of long ago does not run for ever', () => {
  const made = loopDays({ kit: 'C', days: 2, everyMs: 60_000, backupC: null });
  made.traces.set('filter/running', {
    t: Float64Array.from([made.from + 6 * 60 * MINUTE]),
    v: Float64Array.from([1]),
  });
  const run = span(statesOf(made), 'filterRun');
  expect(run.from).toBeCloseTo(6, 1);
  expect(run.to).toBeCloseTo(30, 1);
});
