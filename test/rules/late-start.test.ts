import { expect, test } from 'vitest';
import { HOUR } from '../../model/readings.ts';
import { lateStart } from '../../model/rules/late-start.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const rules = [lateStart];
const DAY = 24 * HOUR;
const setup = { tub: { litres: 3000 } };
/** On the first so many days the pump does not start before a local hour. */
const starting = (hour: number, days: number, more: LoopDaysOptions = {}) =>
  loopDays({
    everyMs: 120_000,
    days: 4,
    tubC: 24,
    backupC: null,
    setup,
    happens: (scene) => {
      if (scene.day >= days || scene.hour >= hour) return;
      scene.pumpOn = false;
      scene.lPerMin = 0;
    },
    ...more,
  });

test('a pump that starts hours late on three days is told, with its cost, and ends after three good ones', () => {
  const made = starting(11, 3, { days: 7 });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { raisedAt, until, evidence, costKwh } = raised[0]!;
  console.info(`${evidence.minutesADay} min a day, ${costKwh} kWh`);
  expect((raisedAt - made.from) / DAY).toBe(3);
  expect((until! - made.from) / DAY).toBe(6);
  expect(evidence.days).toBe(3);
  expect(evidence.minutesADay).toBeGreaterThan(45);
  expect(evidence.minutesADay).toBeLessThan(360);
  expect(costKwh).toBeGreaterThan(0);
});

test('two late days are not told', () => {
  expect(goRound(starting(11, 2), { rules }).raised).toEqual([]);
});

test('a pump that starts as it should is not told, under a clear sky or a dull one', () => {
  expect(goRound(starting(0, 0), { rules }).raised).toEqual([]);
  expect(goRound(starting(0, 0, { sky: () => 0.4 }), { rules }).raised).toEqual([]);
});

test('a controller that starts 1.5 K later than it was said to is not told, one by 12 K is', () => {
  const saying = (switchOnK: number) => {
    const { settings, versions } = loopDays({
      days: 0,
      setup: { ...setup, controller: { switchOnK: 8, switchOffK: 3 } },
    });
    const made = starting(0, 0, {
      everyMs: 60_000,
      setup: { ...setup, controller: { switchOnK, switchOffK: 3 } },
    });
    return { ...made, settings, versions };
  };
  expect(goRound(saying(9.5), { rules }).raised).toEqual([]);
  expect(goRound(saying(20), { rules }).raised).toHaveLength(1);
});

test('a pump that rests because the tub is warm enough is not late', () => {
  const made = starting(0, 0, {
    tubC: 39.4,
    backupC: 39,
    setup: {},
    airC: { mean: 22, swing: 5 },
  });
  expect(Math.max(...made.traces.get('collector/temperature')!.v)).toBeGreaterThan(80);
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('a pump on a panel of its own starts by the sun, not by a difference', () => {
  const own = starting(11, 3, { setup: { ...setup, pump: { supply: 'own-panel' } } });
  expect(goRound(own, { rules }).raised).toEqual([]);
});

test('neither a gap nor a restart raises or ends it', () => {
  const calm = starting(0, 0);
  const mornings = [0, 1, 2, 3].reduce(
    (all, day) => cutOut(all, calm.from + day * DAY + 5 * HOUR, calm.from + day * DAY + 11 * HOUR),
    calm.traces,
  );
  const healthy = goRound({ ...calm, traces: mornings }, { rules });
  expect(healthy.raised).toEqual([]);
  const late = starting(11, 3, { days: 5 });
  const first = goRound(late, { rules, to: late.from + 3.5 * DAY });
  const standing = first.raised.map((alert) => structuredClone(alert));
  expect(standing).toHaveLength(1);
  const traces = cutOut(late.traces, late.from + 3 * DAY, late.to);
  const from = late.from + 3.5 * DAY;
  const again = goRound({ ...late, traces }, { rules, from, days: first.days, standing });
  expect(again.changes).toEqual([]);
});
