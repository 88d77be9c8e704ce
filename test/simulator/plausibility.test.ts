import { Body, Equator, Horizon, Observer } from 'astronomy-engine';
import { expect, test } from 'vitest';
import { drawnHouse } from './drawn-house.ts';
import { type House, type Overrides, overridden } from './house.ts';
import { Plant, STEP_S } from './plant.ts';
import { simulate } from './simulation.ts';
import { sunPlace } from './sun-path.ts';
import { noTrouble } from './trouble.ts';
import { kgPerL } from './water.ts';

const clearSky: Overrides<House> = { climate: { cloudy: 0, haze: 0.02 } };
const isDay = 86_400 / STEP_S;

const median = (values: number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1]!;

test('the sun stands where an ephemeris has it', () => {
  let [elevationOff, bearingOff, count] = [0, 0, 0];
  for (let seed = 0; seed < 30; seed++) {
    const { latitude, longitude } = drawnHouse(seed).place;
    const observer = new Observer(latitude, longitude, 0);
    for (let i = 0; i < 40; i++) {
      const t = Date.UTC(2026, 0, 1) + (i * 9.2 + seed / 7) * 86_400_000;
      const { ra, dec } = Equator(Body.Sun, new Date(t), observer, true, true);
      const there = Horizon(new Date(t), observer, ra, dec);
      const here = sunPlace(t, latitude, longitude);
      const apart = Math.abs((Math.asin(here.sin) * 180) / Math.PI - there.altitude);
      elevationOff = Math.max(elevationOff, apart);
      const turned = Math.abs(((here.azimuthDeg - there.azimuth + 540) % 360) - 180);
      const level = Math.cos((there.altitude * Math.PI) / 180);
      bearingOff = Math.max(bearingOff, turned * level);
      count++;
    }
  }
  console.info(
    `sun: ${count} places and times, elevation off by at most ${elevationOff.toFixed(2)}°, ` +
      `bearing by ${bearingOff.toFixed(2)}°`,
  );
  expect(count).toBe(1200);
  expect(elevationOff).toBeLessThan(0.6);
  expect(bearingOff).toBeLessThan(0.6);
});

test('a litre of water weighs what tables say', () => {
  // CRC Handbook of Chemistry and Physics, density of water at 101.325 kPa [kg/l].
  const table = { 10: 0.9997, 20: 0.9982, 30: 0.99565, 40: 0.99222, 50: 0.98804, 60: 0.9832 };
  let worst = 0;
  for (const [c, known] of Object.entries(table)) {
    worst = Math.max(worst, Math.abs(kgPerL(Number(c)) / known - 1));
  }
  console.info(`density: largest error ${(100 * worst).toFixed(3)} %`);
  expect(worst).toBeLessThan(0.001);
});

/** Light on a plane of 45° towards the equator on the clearest of some days [kWh/m²]. */
function clearDayKwh(latitude: number, from: string): number {
  const { truth } = simulate({
    seed: 4,
    kit: 'A',
    from,
    days: 8,
    overrides: {
      ...clearSky,
      place: { latitude, longitude: 0, elevationM: 50, timeZone: 'UTC' },
      array: { tiltDeg: 45, azimuthDeg: latitude < 0 ? 0 : 180 },
      shade: [],
    },
  });
  return Math.max(...truth.days.map(({ sunKwhPerM2 }) => sunKwhPerM2));
}

test('a clear day brings a tilted plane the light that handbooks give', () => {
  // Haurwitz' clear sky with Meinel's beam, isotropic sky: clear-day sums on 45° [kWh/m²].
  const known: [number, string, number][] = [
    [35, '2026-01-10', 5.8],
    [35, '2026-04-10', 7.3],
    [35, '2026-10-10', 6.8],
    [45, '2026-07-10', 7.6],
    [52, '2026-01-10', 3.2],
    [52, '2026-04-10', 7.4],
    [52, '2026-07-10', 8.0],
    [60, '2026-06-10', 8.4],
  ];
  const shares = known.map(([latitude, from, kwh]) => clearDayKwh(latitude, from) / kwh);
  console.info(
    `clear days over the handbook: ${shares.map((share) => share.toFixed(2)).join(' ')}`,
  );
  // Another sky than theirs, and haze on most days: within a fifth of it.
  for (const share of shares) {
    expect(share).toBeGreaterThan(0.8);
    expect(share).toBeLessThan(1.2);
  }
});

test('a collector at tub temperature gives three to four times what photovoltaics give', () => {
  // Common practice; modules of 20 % of which wires, warmth and dirt leave 17 %.
  const shares: number[] = [];
  for (let seed = 1; seed <= 9; seed++) {
    const house = overridden(drawnHouse(seed), {
      ...clearSky,
      pump: { supply: 'mains' },
      tub: { litres: 1900 },
      array: { kind: 'glazed', eta0: 0.75, a1: 4, a2: 0.015, slant: 0.1, azimuthDeg: 180 },
      place: { latitude: 45 },
    });
    const plant = new Plant(seed, house, Date.parse('2026-05-10T00:00:00Z'));
    let [heatKJ, lightKJ] = [0, 0];
    for (let i = 0; i < 4 * isDay; i++) {
      plant.step();
      const { planeWm2, turns, weather } = plant.moment;
      if (planeWm2 < 600 || !turns || weather.airC < 10) continue;
      heatKJ += plant.circuit.array.last.sunKJ - plant.circuit.array.last.lossKJ;
      lightKJ += (planeWm2 * house.array.count * house.array.areaM2 * STEP_S) / 1000;
    }
    if (lightKJ > 0) shares.push(heatKJ / lightKJ / 0.17);
  }
  console.info(`heat over electricity: ${shares.map((share) => share.toFixed(2)).join(' ')}`);
  expect(shares.length).toBeGreaterThan(6);
  expect(median(shares)).toBeGreaterThan(3);
  expect(median(shares)).toBeLessThan(4);
});

/** Nothing but a covered tub that cools. */
const alone: Overrides<House> = {
  controller: { freezeRun: false },
  backup: { kind: 'none' },
  filter: { spans: [] },
  people: { bathShare: 0, topUpFromL: 1e6 },
  tub: { windShare: 0, rainShare: 0, sunShare: 0, shellShare: 0 },
};

test('a covered tub cools as its loss coefficient says', () => {
  for (const seed of [2, 9, 10]) {
    const house = overridden(drawnHouse(seed), alone);
    const plant = new Plant(seed, house, Date.parse('2026-04-01T00:00:00Z'));
    plant.trouble = { ...noTrouble(), controller: { ...noTrouble().controller, mute: true } };
    const { tub } = plant;
    let lookedOpen = false;
    // By hand: C·dT = −UA·(T − T_air)·dt, with the air as it was.
    const capacity = tub.kg * 4.181; // kJ/K
    let byHandC = tub.meanC;
    for (let i = 0; i < 5 * isDay && !lookedOpen; i++) {
      plant.step();
      lookedOpen = plant.moment.coverOpen;
      if (lookedOpen) break;
      const lossKW = (house.tub.uaWPerK * (byHandC - plant.moment.weather.airC)) / 1000;
      byHandC -= (lossKW * STEP_S) / capacity;
    }
    const fell = (house.backup.targetC > 0 ? 33 : 0) - tub.meanC;
    expect(fell).toBeGreaterThan(0.5);
    // Layers that differ lose by the layer each at its own temperature.
    expect(Math.abs(byHandC - tub.meanC)).toBeLessThan(house.tub.layered ? 0.1 * fell : 0.003);
  }
});

test('1000 l that lose 10 W/K fall a quarter of a kelvin in an hour at 28 K, and open tenfold', () => {
  const house = overridden(drawnHouse(4), {
    ...alone,
    tub: { ...alone.tub, litres: 1000, uaWPerK: 10, surfaceM2: 3, layered: false },
    climate: { meanC: 10, seasonK: 0, dayK: 0, frontsK: 0.001, windMs: 0.5, humidity: 0.7 },
  });
  const fall = (coverOff: boolean): number => {
    const plant = new Plant(4, house, Date.parse('2026-04-01T00:00:00Z'));
    const [none, { controller }] = [noTrouble(), noTrouble()];
    plant.trouble = { ...none, coverOff, controller: { ...controller, mute: true } };
    Object.assign(plant.tub, { upperC: 38, lowerC: 38, shellC: 38 });
    for (let i = 0; i < 3600 / STEP_S; i++) plant.step();
    return 38 - plant.tub.meanC;
  };
  const [shut, open] = [fall(false), fall(true)];
  console.info(`an hour at 28 K: shut ${shut.toFixed(2)} K, open ${open.toFixed(2)} K`);
  expect(shut).toBeGreaterThan(0.23);
  expect(shut).toBeLessThan(0.25);
  // Pool formulas: 0.4 kW/m² when calm, up to twice as much in some wind.
  expect(open).toBeGreaterThan(0.9);
  expect(open).toBeLessThan(2.8);
});

test('one small collector a seat carries a covered tub to 37 or 38 on sunny days', () => {
  const highs: number[] = [];
  for (const seed of [4, 6, 13, 20]) {
    const seats = 4;
    const { truth } = simulate({
      seed,
      kit: 'A',
      from: '2026-05-20',
      days: 10,
      overrides: {
        ...clearSky,
        place: { latitude: 44 },
        climate: { ...clearSky.climate, meanC: 14, seasonK: 8 },
        tub: { litres: 1000, seats, uaWPerK: 8, windShare: 0.02 },
        array: {
          kind: 'glazed',
          count: seats,
          areaM2: 0.8,
          tiltDeg: 40,
          azimuthDeg: 180,
          eta0: 0.74,
          a1: 4,
          a2: 0.012,
        },
        shade: [],
        backup: { kind: 'none' },
        people: { bathShare: 0 },
        controller: { limitC: 39.5 },
        pump: { supply: 'mains' },
      },
    });
    highs.push(median(truth.days.slice(3).map(({ tubHighC }) => tubHighC)));
  }
  console.info(`sunny days' highs: ${highs.map((c) => c.toFixed(1)).join(' ')}`);
  for (const c of highs) expect(c).toBeGreaterThan(36.5);
  for (const c of highs) expect(c).toBeLessThan(40.6);
});

test('an idle collector sits below the air in a clear night, and dry in the sun far above boiling', () => {
  const below: number[] = [];
  const standing: number[] = [];
  for (const seed of [4, 6, 7, 11, 20]) {
    const towardsSun = drawnHouse(seed).place.latitude < 0 ? 0 : 180;
    const array = { tiltDeg: 40, azimuthDeg: towardsSun };
    const house = overridden(drawnHouse(seed), { ...clearSky, shade: [], array });
    const plant = new Plant(seed, house, Date.parse('2026-05-10T00:00:00Z'));
    const { controller } = noTrouble();
    plant.trouble = { ...noTrouble(), controller: { ...controller, mute: true } };
    const dips: number[] = [];
    let hottest = 0;
    for (let i = 0; i < 5 * isDay; i++) {
      plant.step();
      const { weather } = plant.moment;
      const { endC } = plant.circuit.array;
      hottest = Math.max(hottest, endC);
      if (weather.sun.sin < -0.3 && weather.spell === 'clear') dips.push(weather.airC - endC);
    }
    below.push(median(dips));
    standing.push(hottest);
  }
  console.info(
    `below air ${below.map((k) => k.toFixed(1)).join(' ')} K; ` +
      `standing ${standing.map((c) => c.toFixed(0)).join(' ')} °C`,
  );
  for (const k of below) expect(k).toBeGreaterThan(0.5);
  for (const k of below) expect(k).toBeLessThan(7);
  for (const c of standing) expect(c).toBeGreaterThan(108);
  for (const c of standing) expect(c).toBeLessThan(250);
});

test('spells of clear, broken and overcast sky come and go, with rain under clouds alone', () => {
  const hours: Record<string, number> = { clear: 0, broken: 0, overcast: 0, wet: 0, wetInSun: 0 };
  const plant = new Plant(7, drawnHouse(7), Date.parse('2026-03-01T00:00:00Z'));
  for (let i = 0; i < 40 * isDay; i++) {
    plant.step();
    const { spell, raining } = plant.moment.weather;
    hours[spell]! += STEP_S / 3600;
    if (raining) hours.wet! += STEP_S / 3600;
    if (raining && spell === 'clear') hours.wetInSun! += STEP_S / 3600;
  }
  console.info('hours of 40 days', hours);
  for (const spell of ['clear', 'broken', 'overcast']) {
    expect(hours[spell]).toBeGreaterThan(100);
  }
  expect(hours.wet).toBeGreaterThan(20);
  expect(hours.wetInSun).toBe(0);
});
