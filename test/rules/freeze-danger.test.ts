import { expect, test } from 'vitest';
import { MINUTE } from '../../model/readings.ts';
import { freezeDanger } from '../../model/rules/freeze-danger.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays, type Scene } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [freezeDanger];

/** Winter days in the south; collectors follow `collectorC` while the pump rests. */
const winter = (collectorC: (scene: Scene) => number, more: LoopDaysOptions = {}) =>
  loopDays({
    from: '2026-07-06',
    everyMs: 60_000,
    backupC: null,
    days: 2,
    ...more,
    happens: (scene) => {
      scene.tubC = 37;
      scene.pumpOn = false;
      scene.lPerMin = 0;
      scene.collectorC = collectorC(scene);
      more.happens?.(scene);
    },
  });

/** Falls evenly from one temperature at 18 h to another at 6 h, and is warm by day. */
const night =
  (eveningC: number, morningC: number) =>
  ({ hour }: Scene) => {
    if (hour > 8 && hour < 18) return 25;
    const since = hour >= 18 ? hour - 18 : hour + 6;
    return eveningC + (morningC - eveningC) * Math.min(1, since / 12);
  };

test('a night that will come down to frost is told in the evening, once', () => {
  const made = winter(night(5, 0.5));
  const { changes } = goRound(made, {
    rules,
    from: made.from + 12 * HOUR,
    to: made.from + 24 * HOUR,
  });
  expect(changes).toHaveLength(1);
  const { alert } = changes[0]!;
  expect(alert.severity).toBe('act');
  expect(alert.evidence.expectedC).toBeLessThan(1);
  const hour = (alert.raisedAt - made.from) / HOUR;
  console.info(`told at ${hour.toFixed(1)} h`);
  expect(hour).toBeGreaterThan(17.5);
  expect(hour).toBeLessThan(20);
});

test('collectors at 2 °C with the pump at rest are a danger', () => {
  const made = winter(night(9, 1.5));
  const { changes } = goRound(made, { rules });
  const worst = changes.filter(({ alert }) => alert.severity === 'danger');
  expect(worst.length).toBeGreaterThan(0);
  expect(changes.some(({ kind }) => kind === 'ended')).toBe(true);
});

test('a mild night, whose collectors stay above 3 °C, is not told', () => {
  expect(goRound(winter(night(9, 3)), { rules }).raised).toEqual([]);
});

test('how far the last nights fell is expected again', () => {
  const deep = winter(night(10, 2.2), { days: 5 });
  const { raised } = goRound(deep, { rules, to: deep.from + 4.99 * 24 * HOUR });
  expect(raised).toEqual([]);
  const deeper = winter(
    (scene) => night(scene.day > 4.5 ? 8 : 10, scene.day > 4.5 ? 0.3 : 2.2)(scene),
    { days: 5 },
  );
  const told = goRound(deeper, { rules }).raised;
  expect(told).toHaveLength(1);
  expect((told[0]!.raisedAt - deeper.from) / HOUR).toBeGreaterThan(4.5 * 24);
});

test('a controller that pumps warm water through is left to it, one that does not is told of', () => {
  const setup = { loop: { freeze: 'recirculates' as const } };
  const guarded = winter(
    ({ hour }) => (hour < 8 || hour > 18 ? 4 + 4 * Math.abs(Math.sin(hour * 6)) : 20),
    {
      setup,
      happens: (scene) => {
        scene.pumpOn = scene.collectorC > 5 && scene.collectorC < 8 && scene.hour < 8;
      },
    },
  );
  expect(goRound(guarded, { rules }).raised).toEqual([]);
  const alone = goRound(winter(night(9, 1), { setup }), { rules });
  expect(alone.raised.map(({ severity }) => severity)).toEqual(alone.raised.map(() => 'danger'));
  expect(alone.raised.length).toBeGreaterThan(0);
});

test('loops made for frost are mentioned in hard frost alone, and drained ones never', () => {
  for (const loop of [{ freeze: 'drain-back' as const }, { fluid: 'antifreeze' as const }]) {
    expect(goRound(winter(night(2, -12), { setup: { loop } }), { rules }).raised).toEqual([]);
    const hard = goRound(winter(night(2, -18), { setup: { loop } }), { rules }).raised;
    expect(hard.map(({ severity }) => severity)).toContain('note');
  }
  const made = winter(night(2, -5));
  const owner = { ...made.settings.owner, drained: true };
  const settings = { ...made.settings, owner };
  const versions = [{ from: Number.NEGATIVE_INFINITY, settings }];
  expect(goRound({ ...made, settings, versions }, { rules }).raised).toEqual([]);
});

test('a gap leaves it unknown, and a restart in a frosty night finds it again', () => {
  const made = winter(night(5, -1));
  const gap = cutOut(made.traces, made.from + 30 * HOUR, made.to);
  const blind = goRound({ ...made, traces: gap }, { rules, from: made.from + 12 * HOUR });
  expect(blind.raised).toHaveLength(1);
  expect([...blind.rounds.life.standing.values()][0]!.unknownSince).not.toBeNull();
  const again = goRound(made, { rules, from: made.from + 28 * HOUR, to: made.from + 30 * HOUR });
  expect(again.raised.map(({ severity }) => severity)).toEqual(['danger']);
});
