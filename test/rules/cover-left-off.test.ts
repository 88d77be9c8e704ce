import { expect, test } from 'vitest';
import { MINUTE } from '../../model/readings.ts';
import { coverLeftOff } from '../../model/rules/cover-left-off.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDays, type LoopDaysOptions, loopDays } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [coverLeftOff];
const days = (more: LoopDaysOptions) =>
  loopDays({ kit: 'A', everyMs: 60_000, days: 2, backupC: null, tubC: 38, ...more });

/** The same days with the owner's word that they bathe from one hour to another. */
function saying(made: LoopDays, fromHour: number, toHour: number): LoopDays {
  const bathing = { ...made.settings, owner: { ...made.settings.owner, bathing: true } };
  const versions = [
    ...made.versions,
    { from: made.from + fromHour * HOUR, settings: bathing },
    { from: made.from + toHour * HOUR, settings: made.settings },
  ];
  return { ...made, versions };
}

for (const kit of ['A', 'C'] as const) {
  test(`a cover that stays off after a bath is told before midnight, with kit ${kit}`, () => {
    const made = days({ kit, baths: [[20.5, 24]], days: 1 });
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    const hour = (raised[0]!.raisedAt - made.from) / HOUR;
    console.info(`kit ${kit}: off from 20:30, told at ${hour.toFixed(2)} h`);
    expect(hour).toBeGreaterThan(22);
    expect(hour).toBeLessThan(23.9);
    expect(Math.abs((raised[0]!.since - made.from) / HOUR - 20.5)).toBeLessThan(0.75);
  });

  test(`a bath of two hours in the evening is not told, with kit ${kit}`, () => {
    const made = days({ kit, baths: [[18, 20]] });
    expect(goRound(made, { rules }).raised).toEqual([]);
  });

  test(`a bath that ends at half past eleven at night is not told, with kit ${kit}`, () => {
    expect(goRound(days({ kit, baths: [[21.6, 23.5]] }), { rules }).raised).toEqual([]);
  });

  test(`it ends when the cover is back, with kit ${kit}`, () => {
    const made = days({ kit, baths: [[1, 5]], days: 1, sky: () => 0 });
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    const ended = (raised[0]!.until! - made.from) / HOUR;
    console.info(`kit ${kit}: shut at 5 h, over at ${ended.toFixed(2)} h`);
    expect(ended).toBeGreaterThan(5);
    expect(ended).toBeLessThan(7.5);
  });

  test(`a party of five hours by day is a note at most, with kit ${kit}`, () => {
    const { raised } = goRound(days({ kit, baths: [[14, 19]], days: 1, sky: () => 0.2 }), {
      rules,
    });
    expect(raised.filter(({ severity }) => severity !== 'note')).toEqual([]);
  });

  test(`a cover that is off all day is noted, and asks for action in the evening, with kit ${kit}`, () => {
    const made = days({ kit, baths: [[9.5, 24]], days: 1, sky: () => 0 });
    const { changes } = goRound(made, { rules });
    expect(changes.map(({ kind }) => kind)).toEqual(['raised', 'worse']);
    const noted = (changes[0]!.alert.raisedAt - made.from) / HOUR;
    console.info(`kit ${kit}: off from 9:30, noted at ${noted.toFixed(2)} h`);
    expect(noted).toBeLessThanOrEqual(13);
    expect(changes[1]!.alert.severity).toBe('act');
  });

  test(`a party is not told when the owner has said so, with kit ${kit}`, () => {
    const made = days({ kit, baths: [[17, 24]], days: 1 });
    expect(goRound(saying(made, 17, 24), { rules }).raised).toEqual([]);
  });
}

test('a covered tub that cools in a cold night, and one with a step of cold water, are not told', () => {
  const cold = days({ airC: { mean: -8, swing: 4 }, sky: () => 0 });
  expect(goRound(cold, { rules }).raised).toEqual([]);
  const topUp = days({
    sky: () => 0,
    happens: (scene) => {
      if (scene.hour > 1 && scene.hour < 1.25) scene.tubC -= 3 / 90;
    },
  });
  expect(goRound(topUp, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart makes an open tub of a covered one', () => {
  const made = days({ sky: () => 0 });
  const traces = cutOut(made.traces, made.from + 2 * HOUR, made.from + 8 * HOUR);
  expect(goRound({ ...made, traces }, { rules }).raised).toEqual([]);
  expect(goRound(made, { rules, from: made.from + 27 * HOUR }).raised).toEqual([]);
});

test('where clocks go back an hour, bathing hours go by the clock on the wall', () => {
  const made = loopDays({ kit: 'C', everyMs: 60_000, from: '2026-04-05', baths: [[19, 21.8]] });
  expect(goRound(made, { rules }).raised).toEqual([]);
});
