import { expect, test } from 'vitest';
import { evidenceOf } from '../../model/evidence.ts';
import { learnedFrom } from '../../model/learned.ts';
import { HOUR, MINUTE, QUARTER } from '../../model/readings.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import type { TubSettings } from '../../model/tub-settings.ts';
import { hoursOf, ofThousandLitres } from './known-hours.ts';
import { quarters } from './quarters.ts';
import { always, rows, tracesOf } from './traces.ts';

const noon = Date.parse('2026-03-10T12:00Z');
const day = { from: noon + 12 * HOUR, to: noon + 36 * HOUR };
const night = { from: noon + 6 * HOUR, to: noon + 18 * HOUR };
const PUMP_RESTS = noon + 8 * HOUR;
const FILTER_RUNS = noon + 14 * HOUR;
const AIR_C = 8;
const LOSS_W_PER_K = 10;

const glazed = always({ tub: { litres: 1000 }, collectors: { a1: 4 } })[0]!.settings;
const perHour = LOSS_W_PER_K / tubCapacityWhPerK(1000);
const tubAt = (t: number): number => AIR_C + 30 * Math.exp((-perHour * (t - night.from)) / HOUR);
/** Idle glazed collectors cool within an hour or two to a little below the air. */
const collectorAt = (t: number): number =>
  AIR_C - 1.4 + 30 * Math.exp(-Math.max(0, t - PUMP_RESTS) / (33 * MINUTE));

/** A night whose outdoor sensor is heard up to some hour. */
function nightHeardTo(heardTo: number, settings: TubSettings = glazed) {
  const everyMinute = (of: (t: number) => number, to = night.to) =>
    rows(0, (to - night.from) / 1000, 60, (s) => of(night.from + s * 1000));
  const ledger = quarters(noon, 4 * 36, (i) => {
    const t = noon + i * QUARTER;
    return {
      tubC: tubAt(t + QUARTER / 2),
      airC: t < heardTo ? AIR_C : null,
      collectorC: collectorAt(t + QUARTER / 2),
      pumpOnMs: t < PUMP_RESTS ? QUARTER : 0,
      filterOnMs: t >= FILTER_RUNS ? QUARTER : 0,
    };
  });
  const traces = tracesOf(night.from, {
    'tub/temperature': everyMinute(tubAt),
    'collector/temperature': everyMinute(collectorAt),
    'outdoor/temperature': heardTo > night.from ? everyMinute(() => AIR_C, heardTo) : [],
  });
  return evidenceOf('2026-03-11', settings, day, [night], ledger, traces).night!;
}

test('collectors that stand in for the air are waited for, also after a sensor that fell silent', () => {
  const stoodIn = nightHeardTo(noon + 5 * HOUR);
  expect(stoodIn.from).toBeGreaterThanOrEqual(PUMP_RESTS + 2.5 * HOUR);
  expect(stoodIn.wPerK).toBeGreaterThan(0.97 * LOSS_W_PER_K);
  expect(stoodIn.wPerK).toBeLessThan(1.03 * LOSS_W_PER_K);
  const heard = nightHeardTo(night.to);
  expect(heard.from).toBeLessThan(PUMP_RESTS + 1.1 * HOUR);
  expect(heard.wPerK).toBeCloseTo(LOSS_W_PER_K, 1);
});

test('better sensors tell a loss more surely', () => {
  const better = { class: 'digital-0.2' as const };
  const sensors = { 'tub/temperature': better, 'outdoor/temperature': better };
  const usual = nightHeardTo(night.to).systematicWPerK;
  const tubAlone = { ...glazed, sensors: { 'tub/temperature': better } };
  expect(nightHeardTo(night.to, tubAlone).systematicWPerK).toBeLessThan(0.99 * usual);
  const both = { ...glazed, sensors };
  expect(nightHeardTo(night.to, both).systematicWPerK).toBeLessThan(0.96 * usual);
});

test('learned values name the readings that they rest on by the days of the place', () => {
  const place = { ...ofThousandLitres.place, timeZone: 'Pacific/Auckland' };
  const hours = hoursOf({
    ...{ flowLPerMin: 4, lossWPerK: 9, sunM2: 0.03, filterW: 0, noiseK: 0.02, seed: 3 },
  });
  const dark = Array.from({ length: 3 }, (_, i) => ({
    ...{ date: `2026-03-0${i + 1}`, night: null, why: [] },
    hours: hours.slice(168 * i, 168 * (i + 1)),
  }));
  const { lossWPerK, flowLPerMin } = learnedFrom(dark, { ...ofThousandLitres, place });
  const rests = {
    readingsFrom: Date.parse('2026-02-28T11:00:00Z'),
    readingsTo: Date.parse('2026-03-03T11:00:00Z'),
  };
  expect(lossWPerK).toMatchObject({ basis: 'learned', ...rests });
  expect(flowLPerMin).toMatchObject({ basis: 'learned', ...rests });
});
