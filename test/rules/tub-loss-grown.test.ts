import { expect, test } from 'vitest';
import { addDays } from '../../model/civil-time.ts';
import type { Minute } from '../../model/minutes/minute.ts';
import type { ClosedDay } from '../../model/rules/rule.ts';
import { tubLossGrown } from '../../model/rules/tub-loss-grown.ts';
import { nothingSaid } from '../../model/tub-settings.ts';
import { goRound } from './go-round.ts';
import { loopDays } from './loop-days.ts';

const rules = [tubLossGrown];
const made = loopDays({ kit: 'A', everyMs: 600_000 });
const present = {
  date: '',
  settings: made.settings,
  usual: goRound(made, { rules }).rounds.now.usual,
};

/** Nights with these losses, one after the other. */
const nights = (losses: readonly number[]) =>
  losses.map((wPerK, i) => {
    const date = addDays('2026-01-01', i);
    const from = Date.parse(date);
    return { date, from, to: from + 86_400_000, fact: { wPerK, isAirHeard: true } };
  });
function judged(losses: readonly number[], owner = nothingSaid) {
  const past = nights(losses);
  const settings = { ...made.settings, owner };
  const now = { ...present, settings, t: past.at(-1)!.to };
  return tubLossGrown.daily!.judge!(past, now, tubLossGrown.limits!);
}
const usual = [9.7, 10.6, 10.1, 9.9, 10.8, 10.2, 10, 10.4];
const times = (factor: number, count = 5) => usual.slice(0, count).map((loss) => factor * loss);

test('a loss a third above that of the first nights is told, by the half and more as urgent', () => {
  expect(judged([...usual, ...times(1.35)])).toMatchObject({ severity: 'look' });
  expect(judged([...usual, ...times(1.75)])).toMatchObject({ severity: 'act' });
});

test('three nights of five show it, two do not', () => {
  expect(judged([...usual, ...times(1, 2), ...times(1.4, 3)])).toMatchObject({ severity: 'look' });
  expect(judged([...usual, ...times(1, 3), ...times(1.4, 2)])).toBe('gone');
});

test('a loss a fifth above the usual, or no more than nights scatter, is not told', () => {
  expect(judged([...usual, ...times(1.2)])).toBe('between');
  const windy = [7, 13, 8, 14, 10, 12, 7.5, 13.5, 9.5];
  expect(judged([...windy, ...times(1.35)])).toBe('between');
});

test('it is gone when five nights are as usual again', () => {
  expect(judged([...usual, ...times(1.5), ...times(1.02)])).toBe('gone');
});

test('a new cover begins anew, and without enough nights nothing can be told', () => {
  const coverSince = Date.parse('2026-01-09');
  expect(judged([...usual, ...times(1.5)], { ...nothingSaid, coverSince })).toBe('blind');
  expect(judged(usual)).toBe('blind');
});

test('a night with the cover off is none that the tub’s loss could be told from', () => {
  expect(judged([...usual, ...times(1, 3), 55, 60, 58])).toBe('gone');
});

test('the days of a tub whose cover soaks up water are told from their own nights', () => {
  const soaked = loopDays({
    kit: 'C',
    everyMs: 120_000,
    days: 12,
    backupC: null,
    tubC: 38,
    sky: () => 0.5,
    setup: { backup: { kind: 'none' } },
    airC: { mean: 8, swing: 1 },
    happens: (scene) => {
      if (scene.day > 6) scene.tubC -= (7 * (scene.tubC - scene.airC) * 10) / (1000 * 4160);
    },
  });
  const { raised, days } = goRound(soaked, { rules });
  const losses = days.flatMap(({ facts }) => (facts as Facts)['tub-loss-grown']?.wPerK ?? []);
  console.info(`nights: ${losses.map((loss) => loss.toFixed(1)).join(' ')} W/K`);
  expect(losses.length).toBeGreaterThanOrEqual(10);
  expect(raised).toHaveLength(1);
  expect(raised[0]!.evidence.grownShare).toBeGreaterThan(0.5);
});

type Facts = { 'tub-loss-grown'?: { wPerK: number } };

test('nights whose loss something else explains are none of them', () => {
  const { begin, add, close } = tubLossGrown.daily!;
  const evidence = { night: { wPerK: 18 }, hours: [] };
  const day = { evidence, quarters: [], settings: made.settings } as unknown as ClosedDay;
  const dark = { ...goRound(made, { rules }).rounds.now.states, dark: true };
  const after = (fault: string) => {
    const gathered = begin();
    add(gathered, { states: dark, isTold: (id) => id === fault } as Minute, tubLossGrown.limits!);
    return close(gathered, day, tubLossGrown.limits!);
  };
  expect(after('night-back-flow')).toBeNull();
  expect(after('sensor-silent')).toMatchObject({ wPerK: 18 });
});
