import { expect, test } from 'vitest';
import { MINUTE } from '../../model/readings.ts';
import { backupWithoutWarming } from '../../model/rules/backup-without-warming.ts';
import { goRound } from './go-round.ts';
import { cutOut, type LoopDaysOptions, loopDays } from './loop-days.ts';

const HOUR = 60 * MINUTE;
const rules = [backupWithoutWarming];

/** Dull days of a full kit with a backup of 2 kW that holds 37.5 to 38.5 °C. */
const dull = (more: LoopDaysOptions = {}) =>
  loopDays({
    kit: 'C',
    everyMs: 60_000,
    days: 2,
    tubC: 38.2,
    backupC: 37.5,
    sky: () => 0,
    airC: { mean: 5, swing: 3 },
    ...more,
  });
/** What the backup takes warms nothing: as much is taken out again. */
const nothing =
  (from: number): LoopDaysOptions['happens'] =>
  (scene) => {
    if (scene.day > from) scene.tubC -= (scene.backupW * 10) / (1000 * 4160);
  };
const dead: LoopDaysOptions['happens'] = (scene) => {
  scene.backupW = 0;
};

test('power that warms nothing is told within two hours', () => {
  const made = dull({ tubC: 37, happens: nothing(0) });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const { evidence, raisedAt, severity } = raised[0]!;
  console.info(`told after ${(raisedAt - made.from) / MINUTE} min`, evidence);
  expect(raisedAt - made.from).toBeLessThan(2.2 * HOUR);
  expect(severity).toBe('act');
  expect(evidence).toMatchObject({ sign: 'heats-nothing' });
});

test('it ends when the backup warms the water again', () => {
  const made = dull({
    tubC: 36,
    happens: (scene) => scene.hour < 6 && scene.day < 1 && nothing(0)!(scene),
  });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  const ended = (raised[0]!.until! - made.from) / HOUR;
  console.info(`heals at 6 h, over at ${ended.toFixed(1)} h`);
  expect(ended).toBeGreaterThan(6);
  expect(ended).toBeLessThan(9);
});

test('that the sun warms the tub does not end it', () => {
  const made = dull({ tubC: 30, days: 1, sky: () => 1, happens: nothing(0) });
  const { raised } = goRound(made, { rules });
  expect(raised).toHaveLength(1);
  expect(raised[0]!.until).toBeNull();
});

test('a backup that gives half of what it should is not told, and a sound one neither', () => {
  const half = dull({
    tubC: 36,
    happens: (scene) => {
      scene.tubC -= (0.4 * scene.backupW * 10) / (1000 * 4160);
    },
  });
  expect(goRound(half, { rules }).raised).toEqual([]);
  expect(goRound(dull(), { rules }).raised).toEqual([]);
});

test('a pump that cools the tub through the night as fast as the backup heats it is no broken backup', () => {
  const made = dull({
    tubC: 36,
    airC: { mean: -10, swing: 2 },
    happens: (scene) => {
      scene.pumpOn = true;
      scene.lPerMin = 3.5;
    },
  });
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('a sound backup of a tub that loses twice what the set-up says is not told', () => {
  const happens: LoopDaysOptions['happens'] = (scene) => {
    scene.tubC -= (10 * (scene.tubC - scene.airC) * 10) / (1000 * 4160);
  };
  const made = dull({ days: 6, tubC: 36, backupC: 37.5, happens });
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('a bath, whose open water loses what the backup gives, is no broken backup', () => {
  const made = dull({ baths: [[18, 21]] });
  expect(goRound(made, { rules }).raised).toEqual([]);
});

test('a backup that never stops is told at a degree above what is wanted, as danger when hot', () => {
  const made = dull({
    days: 1,
    happens: (scene) => {
      scene.backupW = 2000;
    },
  });
  const { changes } = goRound(made, { rules });
  expect(changes[0]!.alert.evidence).toMatchObject({ sign: 'never-stops' });
  expect(changes.map(({ alert }) => alert.severity).at(-1)).toBe('danger');
  const lukewarm = dull({ backupC: 37.7 });
  expect(goRound(lukewarm, { rules }).raised).toEqual([]);
});

test('a tub two degrees too cold whose backup takes no power is told after three of its hours', () => {
  const dies = dull({
    days: 4,
    airC: { mean: 0, swing: 2 },
    setup: { tub: { lossWPerK: 16 } },
    happens: (scene) => scene.day > 2.5 && dead!(scene),
  });
  const { raised } = goRound(dies, { rules });
  expect(raised).toHaveLength(1);
  console.info(
    `dead at day 2.5, told at ${((raised[0]!.raisedAt - dies.from) / HOUR / 24).toFixed(2)}`,
  );
  expect(raised[0]!.evidence).toMatchObject({ sign: 'no-power', wantedC: 38 });
  expect((raised[0]!.raisedAt - raised[0]!.since) / HOUR).toBeGreaterThan(2.9);
});

test('a backup that was never seen to heat may be off on purpose: that is told after a day', () => {
  const { raised } = goRound(dull({ tubC: 35, days: 2, happens: dead }), { rules });
  expect(raised).toHaveLength(1);
  expect((raised[0]!.raisedAt - raised[0]!.since) / HOUR).toBeGreaterThan(23.9);
});

test('a cold tub out of the backup’s hours, or of people who are away, needs none', () => {
  const setup = {
    backup: { hours: [{ days: [1, 2, 3, 4, 5, 6, 7], from: '10:00', to: '12:00' }] },
  };
  expect(goRound(dull({ tubC: 35, happens: dead, setup }), { rules }).raised).toEqual([]);
  const made = dull({ tubC: 35, happens: dead });
  const settings = { ...made.settings, owner: { ...made.settings.owner, away: true } };
  const versions = [{ from: Number.NEGATIVE_INFINITY, settings }];
  expect(goRound({ ...made, settings, versions }, { rules }).raised).toEqual([]);
});

test('a gap, or a restart after one, tells nothing of the backup', () => {
  const made = dull();
  const traces = cutOut(made.traces, made.from + 8 * HOUR, made.from + 14 * HOUR);
  expect(goRound({ ...made, traces }, { rules }).raised).toEqual([]);
  const silent = cutOut(made.traces, made.from + 8 * HOUR, made.to, ['backup/power']);
  expect(goRound({ ...made, traces: silent }, { rules }).raised).toEqual([]);
  expect(goRound(made, { rules, from: made.from + 30 * HOUR }).raised).toEqual([]);
});
