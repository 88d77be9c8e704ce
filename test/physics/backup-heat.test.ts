import { expect, test } from 'vitest';
import { backupHeats } from '../../model/backup-heat.ts';
import { HOUR, QUARTER } from '../../model/readings.ts';
import { type Saved, savedOn } from '../../model/saved.ts';
import { type Step, type Thermostat, thermostatOf } from '../../model/thermostat.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { known, quarters } from './quarters.ts';
import { always } from './traces.ts';

/** What the backup gave where no sensor tells of it, in a tub whose heat is known for sure. */

const start = Date.parse('2026-03-01T00:00:00Z');
const hours = [{ days: [1, 2, 3, 4, 5, 6, 7], from: '21:00', to: '23:30' }];
const said = { tub: { litres: 1000, targetC: 38 }, backup: { watts: 2000, hours } };
const { settings } = always(said)[0]!;
const kwhPerK = tubCapacityWhPerK(1000) / 1000;
const airC = 15;
const lossWPerK = 10;
const [onC, offC] = [37.6, 38.1];

/** Quarters of a tub that its backup heats in its hours, with what a bath takes in some of them. */
function heated(startC: number, bathKw: (hour: number) => number, days = 1) {
  let [tubC, heats, backupKwh] = [startC, false, 0];
  const rows = quarters(start, 96 * days, (i) => {
    const hour = (i % 96) / 4;
    let sum = 0;
    // by the minute: a quarter tells the mean
    for (let minute = 0; minute < 15; minute++) {
      const may = hour >= 21 && hour < 23.5;
      if (!may || tubC >= offC) heats = false;
      else if (tubC < onC) heats = true;
      const kw = (heats ? 2 : 0) - bathKw(hour) - (lossWPerK * (tubC - airC)) / 1000;
      if (heats) backupKwh += 2 / 60;
      tubC += kw / 60 / kwhPerK;
      sum += tubC;
    }
    return { tubC: sum / 15, airC, backupKwh: null };
  });
  return { rows, backupKwh };
}

const thermostat: Thermostat = {
  ...thermostatOf([{ offC, onC, heatKwh: 4, fuelKwh: 0, airC: null, kw: 2 }], settings),
};

function stepsOf(rows: ReturnType<typeof heated>['rows']): Step[] {
  return rows.map((quarter, i) => {
    const fromC = (rows[i - 1] ?? quarter).tubC!;
    const coolsKwh = (lossWPerK * 0.25 * (quarter.tubC! - airC)) / 1000;
    const otherKwh = kwhPerK * (quarter.tubC! - fromC) + coolsKwh;
    return { quarter, fromC, netKwh: 0, otherKwh, airC };
  });
}

const found = (rows: ReturnType<typeof heated>['rows'], by = thermostat) => {
  const all = backupHeats(stepsOf(rows), settings, by);
  const total = (of: (each: (typeof all)[number]) => number) => all.reduce((s, e) => s + of(e), 0);
  return { kwh: total(({ kwh }) => kwh), presumedKwh: total((each) => each.presumedKwh) };
};

test('a whole evening of heat is found, though its hours end amid it', () => {
  const { rows, backupKwh } = heated(34, () => 0);
  expect(backupKwh).toBeCloseTo(5, 6);
  expect(Math.abs(found(rows).kwh - backupKwh)).toBeLessThan(0.08);
  expect(found(rows).presumedKwh).toBe(0);
});

test('heat that a bath hides is found, and told as presumed', () => {
  const bath = heated(36.5, (hour) => (hour >= 21 && hour < 22.25 ? 3.3 : 0));
  const { kwh, presumedKwh } = found(bath.rows);
  expect(Math.abs(kwh - bath.backupKwh)).toBeLessThan(0.3);
  expect(presumedKwh).toBeGreaterThan(1.5);
});

test('none is presumed of a warm tub, of a backup that was never seen, nor outside its hours', () => {
  const bath = (hour: number) => (hour >= 21 && hour < 21.5 ? 3.3 : 0);
  const warm = heated(45, bath);
  expect(warm.backupKwh).toBe(0);
  expect(found(warm.rows).kwh).toBe(0);
  const unseen = thermostatOf([], settings);
  expect(found(heated(36.5, bath).rows, unseen).presumedKwh).toBe(0);
  const noon = heated(36.5, (hour) => (hour >= 12 && hour < 13 ? 3.3 : 0));
  expect(found(noon.rows).presumedKwh).toBe(0);
});

test('a backup that stands still though the tub is cold gives nothing', () => {
  const cold = quarters(start, 96, (i) => ({
    tubC: airC + 20 * Math.exp((-i * 0.25 * lossWPerK) / 1000 / kwhPerK),
    airC,
    backupKwh: null,
  }));
  expect(found(cold)).toEqual({ kwh: 0, presumedKwh: 0 });
});

test('a tub without sun owes the sun nothing, bathe in it who will in the backup’s hours', () => {
  const DAYS = 8;
  const { rows, backupKwh } = heated(36.5, (hour) => (hour >= 20.75 && hour < 22 ? 3.3 : 0), DAYS);
  let before: Saved['after'] | null = null;
  let [usefulKwh, doubtKwh] = [0, 0];
  for (let day = 0; day < DAYS; day++) {
    const span = { from: start + 24 * day * HOUR, to: start + 24 * (day + 1) * HOUR };
    const saved: Saved = savedOn({
      ...{ settings, learned: known(lossWPerK, 4), nights: [], day: span, spoilt: [] },
      quarters: rows.filter(({ from }) => from >= span.from && from + QUARTER <= span.to),
      ...{ before, pumpKwh: 0 },
    })!;
    before = saved.after;
    if (day === 0) continue; // nothing is known of its backup yet
    usefulKwh += saved.usefulKwh;
    doubtKwh += saved.uncertainty.backup;
  }
  console.info(`${usefulKwh.toFixed(2)} ± ${doubtKwh.toFixed(2)} kWh of none`);
  // without what is presumed it would be 7 kWh and more
  expect(Math.abs(usefulKwh)).toBeLessThan(0.06 * backupKwh);
  expect(Math.abs(usefulKwh)).toBeLessThan(2 * doubtKwh);
});
