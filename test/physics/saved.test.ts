import { expect, test } from 'vitest';
import type { Quarter } from '../../model/ledger.ts';
import { HOUR } from '../../model/readings.ts';
import { type Saved as SavedDay, savedOn } from '../../model/saved.ts';
import { efficiencyAt as efficiencyAtAir, thermostatOf } from '../../model/thermostat.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { known, quarters } from './quarters.ts';
import { always } from './traces.ts';

/**
 * The identity of a mixed tub: what the backup was spared is what came, less what a warmer tub leaked
 * more, less what is still in it. Checked against a tub reckoned forward twice, with and without sun.
 */

const start = Date.parse('2026-03-01T00:00:00Z');
const airC = 12;
const lossWPerK = 10;
const settings = always({ tub: { litres: 1000, targetC: 38 } })[0]!.settings;
const kwhPerK = tubCapacityWhPerK(1000) / 1000;

/** A day of a tub with a thermostat, in quarters; `sunKw` is what the loop brings in a quarter. */
function reckoned(sunKw: (i: number) => number, startC = 38, count = 96) {
  let [tubC, backupKwh] = [startC, 0];
  const rows: Quarter[] = quarters(start, count, (i) => {
    const gain = sunKw(i) * 0.25;
    tubC += (gain - (lossWPerK * 0.25 * (tubC - airC)) / 1000) / kwhPerK;
    const heat = Math.min(0.5, Math.max(0, kwhPerK * (38 - tubC)));
    tubC += heat / kwhPerK;
    backupKwh += heat;
    return { tubC, airC, gainKwh: gain, measuredKwh: gain, backupKwh: heat };
  });
  return { rows, backupKwh, tubC };
}

const saved = (rows: Quarter[], change: Partial<Parameters<typeof savedOn>[0]> = {}) =>
  savedOn({
    settings,
    learned: known(lossWPerK, 4),
    quarters: rows,
    nights: [],
    day: { from: rows[0]!.from, to: rows.at(-1)!.from + HOUR / 4 },
    spoilt: [],
    before: { tubC: 38, heardTo: null, referenceC: 38, heats: false, seen: [] },
    pumpKwh: 0,
    ...change,
  })!;

test('is the heat that the backup was spared, as a second tub without sun shows', () => {
  const sunny = reckoned((i) => (i >= 40 && i < 60 ? 0.3 : 0));
  const alone = reckoned(() => 0);
  expect(saved(sunny.rows).usefulKwh).toBeCloseTo(alone.backupKwh - sunny.backupKwh, 1);
});

test('counts no heat above the wanted temperature before it has replaced some', () => {
  const much = reckoned((i) => (i >= 40 && i < 60 ? 2 : 0));
  const alone = reckoned(() => 0);
  const { usefulKwh } = saved(much.rows);
  const gained = much.rows.reduce((sum, row) => sum + row.gainKwh!, 0);
  expect(gained).toBeCloseTo(10, 6);
  expect(usefulKwh).toBeCloseTo(alone.backupKwh - much.backupKwh, 1);
  expect(usefulKwh).toBeLessThan(gained / 2);
});

test('is exactly nothing where neither backup had to give anything', () => {
  for (const kw of [0.1, 0.3, 0.7]) {
    const warm = quarters(start, 40, (i) => ({ tubC: 45, airC, gainKwh: i < 30 ? kw / 4 : 0 }));
    const before = { tubC: 45, heardTo: null, referenceC: 45, heats: false, seen: [] };
    expect(saved(warm, { before }).usefulKwh).toBe(0);
  }
});

test('gives a day without sun nothing, and takes the pump’s electricity off', () => {
  const dull = saved(reckoned(() => 0).rows, { pumpKwh: 0.1 });
  expect(dull.usefulKwh).toBeCloseTo(0, 1);
  expect(dull.savedKwh).toBeCloseTo(dull.usefulKwh - 0.1, 9);
});

test('runs on from day to day: two halves of a day are the whole', () => {
  const { rows } = reckoned((i) => (i >= 30 && i < 70 ? 1 : 0));
  const whole = saved(rows);
  const morning = saved(rows.slice(0, 48));
  const afternoon = saved(rows.slice(48), {
    before: morning.after,
  });
  expect(morning.usefulKwh + afternoon.usefulKwh).toBeCloseTo(whole.usefulKwh, 9);
});

test('a bath cools the reference tub as well', () => {
  const bathed = reckoned(() => 0).rows.map((row, i) => ({
    ...row,
    tubC: i >= 40 ? 37 : row.tubC,
    coverOpenMs: i === 40 ? 900_000 : 0,
  }));
  expect(saved(bathed).after.referenceC).toBeLessThan(38.01);
});

test('what was not heard is not counted, and is told', () => {
  const gap = reckoned((i) => (i >= 40 && i < 60 ? 0.3 : 0)).rows.map((row, i) =>
    i >= 10 && i < 20 ? { ...row, tubC: null } : row,
  );
  expect(saved(gap).notHeard).toEqual([{ from: start + 2.5 * HOUR, to: start + 5 * HOUR }]);
});

test('silence at the edges of a day is told like any other', () => {
  const rows = reckoned(() => 0).rows.slice(36, 76);
  const day = { from: start, to: start + 24 * HOUR };
  expect(saved(rows, { day }).notHeard).toEqual([
    { from: start, to: start + 9 * HOUR },
    { from: start + 19 * HOUR, to: day.to },
  ]);
  const sofar = { from: start, to: start + 19 * HOUR + 60_000 };
  expect(saved(rows, { day: sofar }).notHeard).toHaveLength(1);
});

test('what went on in a silence over midnight is nobody’s heat', () => {
  const day = { from: start, to: start + 24 * HOUR };
  const rows = reckoned(() => 0)
    .rows.slice(36)
    .map((row) => ({ ...row, backupKwh: null }));
  const before = (tubC: number) => ({
    ...{ tubC, referenceC: tubC, heats: false, seen: [] },
    heardTo: start - 5 * HOUR,
  });
  const cold = saved(rows, { day, before: before(33) });
  const warm = saved(rows, { day, before: before(38) });
  expect(cold.usefulKwh).toBeCloseTo(warm.usefulKwh, 9);
  expect(cold.after.referenceC).toBeCloseTo(warm.after.referenceC, 9);
  const adjoining = saved(reckoned(() => 0).rows, {
    day,
    before: { ...warm.after, heardTo: start },
  });
  expect(adjoining.after.heardTo).toBe(day.to);
});

/** The loop's own sensors were silent; the tub's was heard. */
const loopUnheard = {
  gainKwh: null,
  lostKwh: null,
  measuredKwh: null,
  basis: null,
  coveredMs: 0,
  driveKwhMinPerL: null,
  driveMs: 0,
};

test('heat that the loop did not tell is not taken for none', () => {
  const { rows } = reckoned((i) => (i >= 40 && i < 60 ? 0.5 : 0));
  const silent = rows.map((row, i) => (i >= 40 && i < 60 ? { ...row, ...loopUnheard } : row));
  const result = saved(silent);
  expect(result.notHeard).toEqual([{ from: start + 10 * HOUR, to: start + 15 * HOUR }]);
  const dull = saved(reckoned(() => 0).rows);
  expect(Math.abs(result.usefulKwh - dull.usefulKwh)).toBeLessThan(0.1);
});

test('is nothing, and no loss, where the loop was not heard all day', () => {
  const { rows } = reckoned((i) => (i >= 40 && i < 60 ? 2 : 0));
  expect(saved(rows.map((row) => ({ ...row, ...loopUnheard })))).toBeNull();
});

test('is nothing where there is no backup', () => {
  const none = always({ backup: { kind: 'none' } })[0]!.settings;
  expect(
    savedOn({
      settings: none,
      learned: known(10, 4),
      quarters: quarters(start, 4),
      nights: [],
      day: { from: start, to: start + HOUR },
      spoilt: [],
      before: null,
      pumpKwh: 0,
    }),
  ).toBeNull();
});

test('is priced in the hours in which the backup would have run', () => {
  const tariff = {
    currency: 'NZD',
    otherwise: 0.3,
    bands: [{ days: [1, 2, 3, 4, 5, 6, 7], from: '10:00', to: '15:00', price: 0.1 }],
  };
  const backup = { hours: [{ days: [1, 2, 3, 4, 5, 6, 7], from: '10:00', to: '15:00' }] };
  const priced = always({ tub: { litres: 1000, targetC: 38 }, tariff, backup })[0]!.settings;
  const { rows } = reckoned((i) => (i >= 40 && i < 60 ? 0.3 : 0));
  const { savedKwh, savedMoney } = saved(rows, { settings: priced });
  expect(savedMoney! / savedKwh).toBeCloseTo(0.1, 6);
});

/** A tub that its thermostat holds between two temperatures, off the clock; nobody takes a bath. */
function switched(from: number, { onC, offC, kw }: { onC: number; offC: number; kw: number }) {
  let [tubC, heats] = [onC + 0.1, false];
  return quarters(from, 96, () => {
    if (tubC < onC) heats = true;
    else if (tubC >= offC) heats = false;
    const heat = heats ? 0.25 * kw : 0;
    tubC += (heat - (lossWPerK * 0.25 * (tubC - airC)) / 1000) / kwhPerK;
    return { tubC, airC, backupKwh: heat };
  });
}

test('a tub that its backup holds colder than was said owes the sun nothing', () => {
  const rows = switched(start, { onC: 35.2, offC: 35.8, kw: 1.5 });
  // The two thermostats may be at different points of their swing at midnight, and no further apart.
  const swingKwh = kwhPerK * (35.8 - 35.2) + 0.05;
  expect(Math.abs(saved(rows, { before: null }).usefulKwh)).toBeLessThan(swingKwh);
  const unmeasured = rows.map((row) => ({ ...row, backupKwh: null }));
  expect(Math.abs(saved(unmeasured, { before: null }).usefulKwh)).toBeLessThan(swingKwh);
});

test('the backup is held to what it was seen to give, whatever was entered', () => {
  const weak = always({ tub: { litres: 1000, targetC: 38 }, backup: { watts: 300 } })[0]!.settings;
  const rows = switched(start, { onC: 37.4, offC: 38, kw: 2 });
  const day = saved(rows, { settings: weak, before: null });
  expect(thermostatOf(day.after.seen, weak).kw).toBeCloseTo(2, 0);
  expect(day.after.referenceC).toBeGreaterThan(37);
});

test('a heat pump’s heat for its fuel is learned where both are heard', () => {
  const pump = always({
    tub: { litres: 1000, targetC: 38 },
    backup: { kind: 'heat-pump', efficiency: 3 },
  })[0]!.settings;
  let before: SavedDay['after'] | null = null;
  for (let day = 0; day < 6; day++) {
    const heated = switched(start + 24 * day * HOUR, { onC: 37.4, offC: 38, kw: 2 });
    const rows = heated.map((row) => ({ ...row, backupKwh: row.backupKwh! / 4.5 }));
    before = saved(rows, { settings: pump, before }).after;
  }
  const { efficiency } = thermostatOf(before!.seen, pump);
  expect(Math.abs(efficiency - 4.5)).toBeLessThan(0.3);
});

test('a heat pump that was seen in cold nights gives more for its fuel by a mild day', () => {
  const pump = always({
    tub: { litres: 1000, targetC: 38 },
    backup: { kind: 'heat-pump', efficiency: 3 },
  })[0]!.settings;
  const day = (airC: number) => ({ offC: 38, onC: 37.4, heatKwh: 12, fuelKwh: 4, airC, kw: 2 });
  const seen = thermostatOf([day(2), day(6)], pump);
  expect(seen.seenAirC).toBeCloseTo(4, 9);
  expect(efficiencyAtAir(seen, 4)).toBeCloseTo(3, 9);
  // 46 K to lift in an air of 4 °C, 35 K in one of 15 °C
  expect(efficiencyAtAir(seen, 15)).toBeCloseTo((3 * 46) / 35, 9);
  expect(efficiencyAtAir(seen, -5)).toBeLessThan(3);
  const unseen = thermostatOf([], pump);
  expect([0, 20].map((airC) => efficiencyAtAir(unseen, airC))).toEqual([3, 3]);
});

test('a heat pump whose efficiency is given by the air saves by the air of each hour', () => {
  const efficiencyAt = [
    { airC: 20, efficiency: 5 },
    { airC: 0, efficiency: 3 },
  ];
  const { settings: pump } = always({
    tub: { litres: 1000, targetC: 38 },
    backup: { kind: 'heat-pump', efficiency: 1.2, efficiencyAt },
  })[0]!;
  const at = (air: number) => efficiencyAtAir(thermostatOf([], pump), air);
  expect([-5, 0, 5, 12, 20, 35].map(at)).toEqual([3, 3, 3.5, expect.closeTo(4.2), 5, 5]);

  // the night is cold, the day mild; without sun the pump would have run through both
  const airOf = (i: number) => (i < 48 ? 2 : 18);
  const held = (sunKw: (i: number) => number) => {
    let [tubC, fuelKwh] = [38, 0];
    const rows = quarters(start, 96, (i) => {
      const gain = sunKw(i) * 0.25;
      tubC += (gain - (lossWPerK * 0.25 * (tubC - airOf(i))) / 1000) / kwhPerK;
      const heat = Math.min(0.5, Math.max(0, kwhPerK * (38 - tubC)));
      tubC += heat / kwhPerK;
      fuelKwh += heat / (3 + airOf(i) / 10);
      return { tubC, airC: airOf(i), gainKwh: gain, measuredKwh: gain, backupKwh: null };
    });
    return { rows, fuelKwh };
  };
  const sunny = held((i) => (i >= 50 && i < 90 ? 0.15 : 0));
  const spared = held(() => 0).fuelKwh - sunny.fuelKwh;
  const { usefulKwh, savedKwh } = saved(sunny.rows, { settings: pump });
  console.info(
    `useful ${usefulKwh.toFixed(3)}, saved ${savedKwh.toFixed(3)}, ${spared.toFixed(3)}`,
  );
  expect(usefulKwh / savedKwh).toBeGreaterThan(3.2);
  expect(usefulKwh / savedKwh).toBeLessThan(4.8);
});
