import { expect, test } from 'vitest';
import { MINUTE } from '../../model/readings.ts';
import { tubOverheatedBySun } from '../../model/rules/tub-overheated-by-sun.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [tubOverheatedBySun];
const day = (more: LoopDaysOptions) => loopDays({ kit: 'C', everyMs: 60_000, ...more });

/** A controller whose limit does not work. */
const limitless: LoopDaysOptions['happens'] = (scene) => {
  if (scene.collectorC - scene.tubC < 3) return;
  scene.asked = true;
  scene.pumpOn = true;
  scene.lPerMin = 3.5;
};

for (const kit of ['A', 'C'] as const) {
  test(`a pump that runs on past the limit is told the same day, with kit ${kit}`, () => {
    const made = day({ kit, tubC: 39, happens: limitless });
    const { raised } = goRound(made, { rules });
    expect(raised).toHaveLength(1);
    const { evidence, severity } = raised[0]!;
    expect(severity).toBe('act');
    expect(evidence.pumpOn).toBe(true);
    expect(evidence.tubC).toBeGreaterThan(40);
  });
}

test('a loop that stops at its limit is not told, also when the tub stands a little above it', () => {
  const made = day({ tubC: 39.3 });
  expect(Math.max(...made.traces.get('tub/temperature')!.v)).toBeGreaterThan(39.4);
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('a sensor that reads higher than the controller’s is known for that from its stops', () => {
  const reads = (value: number) => value + 0.7;
  const stops = [39.5, 39.5, 39.5].map((c) => c + 0.7);
  const past = (['2026-01-10', '2026-01-11'] as const).map((date, i) => ({
    date,
    from: Date.parse('2026-01-09T11:00:00Z') + i * 24 * HOUR,
    to: Date.parse('2026-01-10T11:00:00Z') + i * 24 * HOUR,
    usual: {
      lPerMin: null,
      pumpW: null,
      middayK: null,
      highestStartC: null,
      highestRunC: null,
      hotStopsC: [],
    },
    facts: { 'tub-overheated-by-sun': { hotStopsC: stops } },
  }));
  const made = day({ tubC: 38.9, bends: { 'tub/temperature': reads } });
  expect(goRound(made, { rules, days: past }).raised).toEqual([]);
});

test('sun on the cover warms a tub with everything at rest', () => {
  const made = day({
    tubC: 40.3,
    backupC: null,
    happens: (scene) => {
      if (scene.hour > 10 && scene.hour < 17) scene.tubC += 0.35 / 360;
      scene.tubC += ((10 * (scene.tubC - scene.airC)) / (1000 * 4160)) * 10;
      scene.pumpOn = false;
      scene.lPerMin = 0;
    },
  });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.evidence.kPerH).toBeGreaterThan(0.2);
});

test('a backup that heats on is not the sun', () => {
  const heats: LoopDaysOptions['happens'] = (scene) => {
    scene.pumpOn = false;
    scene.lPerMin = 0;
    scene.backupW = 2000;
  };
  for (const kit of ['A', 'C'] as const) {
    const made = day({ kit, tubC: 38, happens: heats });
    expect(Math.max(...made.traces.get('tub/temperature')!.v)).toBeGreaterThan(42);
    expect(goRound(made, { rules }).raised).toEqual([]);
  }
});

test('it ends two hours after the tub is back at its limit, and not in a gap', () => {
  const made = day({ tubC: 39, happens: limitless, days: 2, baths: [[20, 23]] });
  const { raised } = goRound(made, { rules });
  expect(raised[0]!.until).not.toBeNull();
  const standsAt = raised[0]!.raisedAt + 10 * MINUTE;
  const gap = cutOut(made.traces, standsAt, made.from + 24 * HOUR);
  const blind = goRound({ ...made, traces: gap }, { rules, to: made.from + 24 * HOUR });
  expect(blind.raised[0]!.until).toBeNull();
});
