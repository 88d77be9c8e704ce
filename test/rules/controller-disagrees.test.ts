import { expect, test } from 'vitest';
import { controllerDisagrees } from '../../model/rules/controller-disagrees.ts';
import { goRound } from './go-round.ts';
import { type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const DAY = 86_400_000;
const rules = [controllerDisagrees];
const setup = { collectors: { count: 10 }, tub: { litres: 4000 } };
const cloudy = (t: number) => (Math.floor(t / 3_600_000) % 2 === 0 ? 1 : 0.02);
const made = (options: LoopDaysOptions, days = 4) =>
  loopDays({
    kit: 'B',
    everyMs: 60_000,
    days,
    setup,
    tubC: 30,
    backupC: null,
    sky: cloudy,
    ...options,
  });

/** A controller whose collector sensor reads this much more than is heard. */
function reads(moreK: number, from = 0, to = 99) {
  const offK = moreK > 5 ? 6.5 : 3;
  let asked = false;
  return (scene: Scene) => {
    const differenceK = scene.collectorC - scene.tubC + moreK;
    asked = scene.tubC < 39.5 && (asked ? differenceK > offK : differenceK > 8);
    if (scene.day < from || scene.day >= to) return;
    scene.asked = asked;
    scene.pumpOn = asked;
    scene.lPerMin = asked ? 3.5 : 0;
    scene.pumpW = asked ? 13 : 0;
  };
}

test('starts on collectors that are hardly warm are told within days, and end a week after', () => {
  const loop = made({ happens: reads(7.5, 1, 3), baths: [[18, 21]] }, 11);
  const { raised } = goRound(loop, { rules });
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - loop.from) / DAY).toBeLessThanOrEqual(3);
  expect(raised[0]!.evidence.kind).toBe('start');
  expect((raised[0]!.until! - loop.from) / DAY).toBeGreaterThanOrEqual(9);
});

test('a healthy controller, and one that differs a little, is not told', () => {
  for (const stepK of [0.0625, 0.5]) {
    expect(goRound(made({ stepK }), { rules }).raised).toEqual([]);
    expect(goRound(made({ stepK, happens: reads(2.5) }), { rules }).raised).toEqual([]);
    expect(goRound(made({ stepK, happens: reads(-2.5) }), { rules }).raised).toEqual([]);
  }
});

test('coarse and slow readings blame nobody', () => {
  const happens = () => ({ happens: reads(7.5), baths: [[18, 21]] as [number, number][] });
  expect(goRound(made(happens()), { rules }).raised).toHaveLength(1);
  expect(goRound(made({ ...happens(), stepK: 1 }), { rules }).raised).toEqual([]);
  expect(goRound(made({ ...happens(), everyMs: 180_000 }), { rules }).raised).toEqual([]);
});

test('pauses at a limit, known or learned, are no disagreement', () => {
  let isFull = false;
  const happens = (scene: Scene) => {
    isFull = scene.tubC >= (isFull ? 35.4 : 36);
    if (!isFull) return;
    scene.asked = false;
    scene.pumpOn = false;
    scene.lPerMin = 0;
  };
  expect(goRound(made({ happens, tubC: 35, sky: () => 1 }, 6), { rules }).raised).toEqual([]);
  expect(goRound(made({ tubC: 38, sky: () => 1 }, 4), { rules }).raised).toEqual([]);
});

test('a restart forgets none of the events, and a collector sensor in the air makes none', () => {
  const loop = made({ happens: reads(7.5), baths: [[18, 21]] }, 3);
  const first = goRound(loop, { rules, to: loop.from + 0.7 * DAY });
  expect(first.raised).toEqual([]);
  const again = goRound(loop, { rules, from: loop.from + 0.7 * DAY, days: first.days });
  expect(again.raised).toHaveLength(1);
  const loose = {
    'collector/temperature': (_: number, { airC, collectorC, sunWPerM2 }: Scene) =>
      airC + 0.15 * (collectorC - airC) + sunWPerM2 / 120,
  };
  expect(goRound(made({ bends: loose }), { rules }).raised).toEqual([]);
});

test('short runs that all begin and end further up are told by both together', () => {
  /** Eight minutes off, in which the collectors warm from one difference to the other, and four on. */
  const shifted = (onK: number, offK: number) => {
    const happens = (scene: Scene) => {
      const minute = (scene.t / 60_000) % 12;
      const isDay = scene.hour > 10 && scene.hour < 16;
      scene.pumpOn = isDay && minute >= 8;
      const share = minute >= 8 ? (12 - minute) / 4 : minute / 8;
      if (isDay) scene.collectorC = scene.tubC + offK + share * (onK - offK);
      scene.lPerMin = scene.pumpOn ? 3.5 : 0;
    };
    return goRound(made({ happens, everyMs: 20_000, tubC: 25 }, 3), { rules }).raised;
  };
  const raised = shifted(15, 10);
  expect(raised.map(({ evidence }) => evidence.kind)).toEqual(['both']);
  expect(Math.abs((raised[0]!.evidence.startsAtK as number) - 15)).toBeLessThan(1);
  expect(shifted(11.5, 6.5)).toEqual([]);
  expect(shifted(13, 12.5)).toEqual([]); // differences too close
  expect(shifted(14, 11)).toEqual([]);
});
