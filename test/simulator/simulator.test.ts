import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { setupSchema } from '../../model/setup.ts';
import { drawnHouse } from './drawn-house.ts';
import { allFlaws } from './flaws.ts';
import { pointsOf } from './kit.ts';
import { Plant, STEP_S } from './plant.ts';
import { type SimulateOptions, Simulation, simulate } from './simulation.ts';
import type { TubBody, TubSums } from './tub-body.ts';

const DAY = 86_400_000; // ms
const spring = { from: '2026-04-10', days: 4 };
const seeds = [1, 2, 3, 4, 5];

/** What a tub should hold more by its own books since before [kJ]. */
function bookedKJ(body: TubBody, before: TubSums): number {
  const d = (key: keyof TubSums) => body.sums[key] - before[key];
  const came = d('loopKJ') + d('backupKJ') + d('filterKJ') + d('bathersKJ') + d('sunKJ');
  return came + d('waterKJ') - d('coveredLossKJ') - d('openLossKJ');
}

test('energy closes in the loop, the tub and its twin on every day', () => {
  let worst = 0;
  let days = 0;
  for (const seed of [...seeds, 9, 14, 23]) {
    const plant = new Plant(seed, drawnHouse(seed), Date.parse('2026-04-01T00:00:00Z'));
    plant.part();
    for (let day = 0; day < 3; day++) {
      const { circuit, tub, twin } = plant;
      const before = {
        loop: { ...circuit.sums, held: circuit.heldKJ },
        tub: { ...tub.sums, held: tub.heldKJ },
        twin: { ...twin.sums, held: twin.heldKJ },
      };
      let toTubKJ = 0;
      for (let s = 0; s < 86_400; s += STEP_S) {
        // What the loop takes from the tub and brings back, the refill of dry collectors among it.
        const tubC = tub.drawnC(false);
        plant.step();
        toTubKJ += circuit.exchangedKJ(tubC);
      }
      const { sunKJ, arrayLossKJ, ventedKJ, pipeLossKJ } = circuit.sums;
      const b = before.loop;
      const loop = sunKJ - b.sunKJ - (arrayLossKJ - b.arrayLossKJ) - (ventedKJ - b.ventedKJ);
      const errors = [
        loop - (pipeLossKJ - b.pipeLossKJ) - toTubKJ - (circuit.heldKJ - b.held),
        bookedKJ(tub, before.tub) - (tub.heldKJ - before.tub.held),
        bookedKJ(twin, before.twin) - (twin.heldKJ - before.twin.held),
      ];
      worst = Math.max(worst, ...errors.map(Math.abs));
      days++;
    }
  }
  console.info(`balance: ${days} days, largest error ${(worst / 3600).toExponential(1)} kWh`);
  expect(days).toBe(24);
  expect(worst / 3600).toBeLessThan(1e-6);
});

test('the same options give the same readings and the same truth', () => {
  const options: SimulateOptions = { seed: 11, kit: 'C', from: '2026-04-10', days: 2 };
  const [one, two] = [simulate(options), simulate(options)];
  expect(one.readings.length).toBeGreaterThan(10_000);
  expect(two).toEqual(one);
  const other = simulate({ ...options, seed: 12 });
  expect(other.house).not.toEqual(one.house);
});

test('a long run in batches gives the same as a short one at once', () => {
  const options: SimulateOptions = { seed: 13, kit: 'B', ...spring };
  const simulation = new Simulation(options);
  expect(() => simulation.truth).toThrow('when all readings were taken');
  const readings = [...simulation.batches()].flat();
  const whole = simulate(options);
  expect(readings).toEqual(whole.readings);
  expect(simulation.truth).toEqual(whole.truth);
});

test('readings come in the order of their arrival, late and repeated ones among them', () => {
  let [late, repeated, backwards, read] = [0, 0, 0, 0];
  for (const seed of seeds) {
    const { readings } = simulate({ seed, kit: 'B', ...spring });
    const newest = new Map<string, Set<number>>();
    let before = 0;
    for (const { point, t, arrivedAt, value } of readings) {
      if (arrivedAt < before) backwards++;
      if (Number.isFinite(value)) read++;
      before = arrivedAt;
      if (arrivedAt - t > 60_000) late++;
      const seen = newest.get(point) ?? new Set();
      if (seen.has(t)) repeated++;
      newest.set(point, seen.add(t));
    }
    read -= readings.length;
  }
  console.info(`${seeds.length} seeds: ${late} readings late by a minute, ${repeated} repeated`);
  expect({ backwards, read }).toEqual({ backwards: 0, read: 0 });
  expect(late).toBeGreaterThan(100);
  expect(repeated).toBeGreaterThan(100);
});

test('a fault changes nothing before it begins', () => {
  const options: SimulateOptions = { seed: 3, kit: 'C', ...spring };
  const healthy = simulate(options);
  const faulty = simulate({
    ...options,
    faults: [{ fault: 'pump-stuck-on', fromDay: 2, toDay: 3 }],
  });
  const [fault] = faulty.truth.faults;
  const earlier = (readings: typeof healthy.readings) =>
    readings.filter(({ arrivedAt }) => arrivedAt < fault!.from);
  expect(fault!.from - healthy.truth.from).toBe(2 * DAY);
  expect(earlier(faulty.readings)).toEqual(earlier(healthy.readings));
  expect(faulty.truth.days[2]!.lostKwh).toBeGreaterThan(healthy.truth.days[2]!.lostKwh + 1);
});

test('a twin without the loop is the tub itself when the loop never runs', () => {
  for (const seed of [1, 4, 6, 11]) {
    const { truth } = simulate({
      seed,
      kit: 'A',
      ...spring,
      overrides: { controller: { freezeRun: false } },
      faults: [{ fault: 'controller-mute', fromDay: 0, toDay: 4 }],
    });
    const { total } = truth;
    expect(total.gainKwh + total.lostKwh + total.litres).toBe(0);
    expect(total.twin.backupKwh).toBe(total.backupKwh);
    expect(total.twin.tubEndC).toBe(total.tubEndC);
    expect(total.savedKwh).toBeCloseTo(-total.standbyKwh - total.pumpKwh, 12);
  }
});

test('what the loop saves in heat is what it brought less what leaked faster and what is left', () => {
  let worst = 0;
  for (const seed of [1, 6, 11, 20]) {
    const { truth, house } = simulate({ seed, kit: 'A', from: '2026-04-10', days: 7 });
    const { total } = truth;
    const loss = total.coveredLossKwh + total.openLossKwh - total.twin.lossKwh;
    // The shell lags behind the water, hence not to the joule.
    const kwhPerK = (house.tub.litres * 0.993 * (1 + house.tub.shellShare) * 4.181) / 3600;
    const left = kwhPerK * (total.tubEndC - total.twin.tubEndC);
    const useful = total.gainKwh - total.lostKwh - loss - left;
    const avoided = total.twin.backupHeatKwh - total.backupHeatKwh;
    worst = Math.max(worst, Math.abs(useful - avoided));
    expect(avoided).toBeGreaterThan(1);
  }
  console.info(`useful against backup heat avoided: largest difference ${worst.toFixed(2)} kWh`);
  // Water that evaporates or is carried out takes its warmth along: a little more from the warmer tub.
  expect(worst).toBeLessThan(0.8);
});

test('days, quarters and months are parts of the same whole, also where clocks move', () => {
  for (const [zone, from, quarters] of [
    ['Pacific/Auckland', '2026-04-04', [96, 100, 96]],
    ['Australia/Lord_Howe', '2026-04-04', [96, 98, 96]],
    ['America/Santiago', '2026-09-05', [96, 92, 96]],
    ['Europe/Berlin', '2026-10-24', [96, 100, 96]],
  ] as const) {
    const { truth } = simulate({
      seed: 2,
      kit: 'A',
      from,
      days: 3,
      overrides: { place: { timeZone: zone } },
    });
    const starts = truth.quarters.map((quarter) => quarter.from);
    expect(starts.length).toBe(quarters.reduce((a, b) => a + b, 0));
    const sum = (of: { gainKwh: number }[]) => of.reduce((all, { gainKwh }) => all + gainKwh, 0);
    expect(sum(truth.quarters)).toBeCloseTo(truth.total.gainKwh, 9);
    expect(sum(truth.days)).toBeCloseTo(truth.total.gainKwh, 9);
    expect(sum(truth.months)).toBeCloseTo(truth.total.gainKwh, 9);
    expect(truth.days.map(({ date }) => date)[0]).toBe(from);
    expect(truth.days.length).toBe(3);
  }
});

test('a kit tells of its points and of no other, and its set-up is one that the program takes', () => {
  for (const seed of seeds) {
    for (const kit of ['A', 'B', 'C'] as const) {
      for (const entered of ['right', 'wrong-flow', 'nothing'] as const) {
        const { setup, points, house } = new Simulation({ seed, kit, ...spring, entered });
        expect(setupSchema.parse({ tubs: [setup] }).tubs[0]).toEqual(setup);
        expect(points).toEqual(pointsOf(kit, house));
        if (entered === 'nothing') expect(Object.keys(setup)).toEqual(['id', 'place']);
        const off = (setup.loop?.flowLPerMin ?? 0) / house.pump.lPerMin;
        if (entered === 'right') expect(off).toBeCloseTo(1, 6);
        if (entered === 'wrong-flow') expect(Math.abs(Math.log(off))).toBeGreaterThan(0.25);
      }
    }
    const { readings } = simulate({ seed, kit: 'C', from: '2026-04-10', days: 1 });
    const told = new Set(readings.map(({ point }) => point));
    expect([...told].sort()).toEqual(pointsOf('C', drawnHouse(seed)).sort());
  }
});

test('seeds bring houses of every kind', () => {
  const houses = Array.from({ length: 200 }, (_, seed) => drawnHouse(seed));
  const shares = {
    south: houses.filter(({ place }) => place.latitude < 0),
    evacuated: houses.filter(({ array }) => array.kind === 'evacuated'),
    ownPanel: houses.filter(({ pump }) => pump.supply === 'own-panel'),
    heatPump: houses.filter(({ backup }) => backup.kind === 'heat-pump'),
    noBackup: houses.filter(({ backup }) => backup.kind === 'none'),
    layered: houses.filter(({ tub }) => tub.layered),
    shaded: houses.filter(({ shade }) => shade.length > 0),
    counter: houses.filter(({ instruments }) => instruments.meter.tells === 'volume'),
    onChange: houses.filter(({ instruments }) => instruments.boards.some((b) => b.onChange)),
  };
  for (const [kind, found] of Object.entries(shares)) {
    expect(found.length, kind).toBeGreaterThan(15);
    expect(found.length, kind).toBeLessThan(185);
  }
  for (const { place, array, pump, tub, controller } of houses) {
    expect(Math.abs(place.latitude)).toBeGreaterThanOrEqual(30);
    expect(Math.abs(place.latitude)).toBeLessThanOrEqual(60);
    expect(array.count * array.areaM2).toBeLessThanOrEqual(8.1);
    expect(pump.lPerMin).toBeGreaterThanOrEqual(2.5);
    expect(tub.litres).toBeLessThanOrEqual(1900);
    expect(controller.limitC).toBeLessThanOrEqual(41);
  }
  expect(new Set(houses.map(({ place }) => place.timeZone)).size).toBeGreaterThan(10);
  expect(allFlaws.length).toBe(10);
});

test('the simulator shares nothing with the program but the shapes of set-up and readings', () => {
  const folder = import.meta.dirname;
  const files = readdirSync(folder, { recursive: true, encoding: 'utf8' });
  // the judges hold the two against each other, and so know both
  const isJudge = (name: string) => /^(judge|kept-house)/.test(name);
  const own = files.filter(
    (name) => name.endsWith('.ts') && !name.endsWith('.test.ts') && !isJudge(name),
  );
  const foreign = own.flatMap((name) => {
    const text = readFileSync(join(folder, name), 'utf8');
    const imports = text.matchAll(/import (type )?[^;]*?from '([^']+)'/g);
    return [...imports]
      .filter(([, , from]) => !/^(\.\/|\.\.\/[a-z-]+\.ts$|node:)/.test(from!))
      .map(([, type, from]) => `${type ?? ''}${from}`);
  });
  expect(own.length).toBeGreaterThan(30);
  expect([...new Set(foreign)].sort()).toEqual([
    'type ../../model/readings.ts',
    'type ../../model/setup.ts',
  ]);
});
