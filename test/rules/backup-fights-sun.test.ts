import { expect, test } from 'vitest';
import { backupFightsSun } from '../../model/rules/backup-fights-sun.ts';
import type { AnyRule, PastDay } from '../../model/rules/rule.ts';
import { goRound } from './go-round.ts';
import { type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [backupFightsSun];
const DAY = 86_400_000;

/** Clear days on which the backup heats from 4 to 7 h where `early` says so. */
const clear = (early: boolean, more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'C',
    everyMs: 120_000,
    days: 4,
    tubC: 37.5,
    backupC: null,
    airC: { mean: 12, swing: 4 },
    baths: [[19, 21]],
    ...more,
    happens: (scene) => {
      scene.backupW = early && scene.hour > 4 && scene.hour < 6 && scene.tubC < 39 ? 1500 : 0;
      more.happens?.(scene);
    },
  });

test('a backup that heats early on days when the tub is full at noon is told on the third', () => {
  const made = clear(true);
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  console.info(raised[0]!.evidence);
  expect(raised[0]!.severity).toBe('look');
  expect((raised[0]!.raisedAt - made.from) / DAY).toBeCloseTo(3, 0);
  expect(raised[0]!.evidence.freeKwh).toBeGreaterThan(3);
});

test('hours that the owner chose for their price are but a note', () => {
  const bands = [{ days: [1, 2, 3, 4, 5, 6, 7], from: '22:00', to: '12:30', price: 0.1 }];
  const setup = { tariff: { currency: 'EUR', otherwise: 0.3, bands } };
  const { raised } = goRound(clear(true, { setup }), { rules });
  expect(raised.map(({ severity }) => severity)).toEqual(['note']);
});

test('a backup that rests in the morning, or whose heat the sun never had room for, is not told', () => {
  expect(goRound(clear(false), { rules }).raised).toEqual([]);
  const dull = clear(true, { sky: () => 0.25 });
  expect(goRound(dull, { rules }).raised).toEqual([]);
});

interface Fought {
  earlyKwh: number;
  isFull: boolean;
  isCheap: boolean;
}

test('two days of seven are not enough, and it is gone when but one is left', () => {
  const made = loopDays({ kit: 'A', everyMs: 600_000 });
  const usual = goRound(made, { rules }).rounds.now.usual;
  const judged = (fights: readonly boolean[]) => {
    const days: PastDay<Fought>[] = fights.map((isFull, i) => ({
      date: '',
      from: i * DAY,
      to: (i + 1) * DAY,
      fact: { earlyKwh: 1.4, isFull, isCheap: false },
    }));
    const now = { t: fights.length * DAY, date: '', settings: made.settings, usual };
    return backupFightsSun.daily!.judge!(days, now, backupFightsSun.limits!);
  };
  expect(judged([true, false, true, false, false])).toBe('between');
  expect(judged([true, false, true, false, true])).toMatchObject({ severity: 'look' });
  expect(judged([true, true, true, false, false, false, false, false, true])).toBe('between');
  expect(judged([true, true, true, false, false, false, false, false, false])).toBe('gone');
});

test('what an element takes that is told to warm nothing is not counted', () => {
  const told: AnyRule = {
    fault: 'backup-without-warming',
    severity: 'act',
    onMs: 0,
    offMs: 0,
    needs: [],
    mutedBy: [],
    minute: () => ({ evidence: {} }),
  };
  const { raised } = goRound(clear(true), { rules: [told, { ...backupFightsSun, mutedBy: [] }] });
  expect(raised.map(({ fault }) => fault)).toEqual(['backup-without-warming']);
});
