import { expect, test } from 'vitest';
import { Chance } from './chance.ts';
import { drawnInstruments } from './drawn-instruments.ts';
import { faults } from './faults/faults.ts';
import { type BoardTraits, type House, type Overrides, overridden } from './house.ts';
import { type Simulated, simulate } from './simulation.ts';

/** Every fault that a monitor of such a loop should know, by its id. */
const catalogue = [
  ...['water-too-hot', 'tub-overheated-by-sun', 'hot-water-to-tub', 'freeze-danger'],
  ...['collector-stagnating', 'pump-not-running', 'pump-on-at-night', 'running-without-flow'],
  ...['flow-falling', 'flow-too-high', 'pump-power-low', 'pump-power-high', 'short-cycling'],
  ...['flow-sensor-at-zero', 'flow-while-off', 'sensor-open', 'sensor-short', 'power-on-value'],
  ...['frozen-reading', 'jumping-reading', 'pair-offset', 'to-and-from-swapped'],
  ...['collector-sensor-loose', 'tub-sensor-out-of-water', 'controller-disagrees'],
  ...['sensor-silent', 'device-silent', 'broker-lost', 'clock-wrong', 'night-back-flow'],
  ...['late-start', 'heat-thrown-away', 'array-under-performing', 'one-collector-dead'],
  ...['pipes-losing-heat', 'tub-loss-grown', 'cover-left-off', 'backup-fights-sun'],
  ...['backup-without-warming', 'water-level-falling', 'array-too-small'],
  ...['flow-sensor-drifting', 'outdoor-sensor-in-sun', 'irradiance-sensor-dirty'],
  'limit-reached-often',
];

const ownBoard = drawnInstruments(new Chance(1, 'board'), 4).boards.flatMap(({ points }) => points);
const box: BoardTraits = {
  name: 'box',
  points: ownBoard,
  everyS: 60,
  onChange: false,
  heartbeatMin: 5,
  stamps: 'board',
  clockMs: 0,
  outagesPerDay: 0,
  outageMin: 20,
  keeps: false,
  restartsPerDay: 0,
  dropouts: 0,
  repeats: 0,
  late: 0,
};

const chip = { class: 'digital-0.5', stepK: 0.0625 } as const;
/** A sunny house in which every fault has something to strike. */
const sunny: Overrides<House> = {
  place: { latitude: 45, longitude: 10, timeZone: 'Europe/Berlin' },
  climate: { meanC: 11, seasonK: 8, cloudy: 0, haze: 0.03, frontsK: 1 },
  array: { kind: 'glazed', count: 4, areaM2: 0.8, tiltDeg: 40, azimuthDeg: 180, eta0: 0.74, a1: 4 },
  shade: [],
  pump: { supply: 'mains', lPerMin: 4, watts: 15 },
  tub: { litres: 1900, uaWPerK: 18 },
  controller: {
    freezeRun: false,
    onK: 7,
    offK: 3,
    limitC: 41,
    restAtLeastMin: 0,
    runAtLeastMin: 0,
  },
  backup: { kind: 'electric', watts: 2000, targetC: 36, spans: [], offsetK: 0 },
  people: { awayShare: 0, topUpFromL: 1e6, bathShare: 0 },
  instruments: {
    boards: [box],
    tub: chip,
    collector: { ...chip, offsetShare: 0.2 },
    inlet: chip,
    outlet: chip,
    outdoor: chip,
    eachCollector: { ...chip, offsetShare: 0.2, noiseK: 0.02, lagS: 20, leak: 0 },
    meter: { tells: 'rate' },
    backupTells: 'both',
    levelLowL: 40,
  },
};

/** The same with a limit that a good day reaches, and with a backup that has work to do. */
const soonFull = overridden(sunny as House, { controller: { limitC: 36.8 } });
const needy = overridden(sunny as House, { backup: { targetC: 39.5 } });

const run = (fault: string | null, overrides = sunny): Simulated =>
  simulate({
    seed: 5,
    kit: 'C',
    from: '2026-05-12',
    days: 2,
    overrides,
    faults: fault === null ? [] : [{ fault, fromDay: 0, toDay: 2 }],
  });

/** What a point told. */
const told = ({ readings }: Simulated, point: string): number[] =>
  readings.filter((reading) => reading.point === point).map(({ value }) => value);
const mean = (values: readonly number[]): number =>
  values.reduce((a, b) => a + b, 0) / values.length;
const top = (values: readonly number[]): number => values.reduce((a, b) => Math.max(a, b), -1e9);
/** What a point told in the darkest hours. */
const atNight = ({ readings }: Simulated, point: string): number[] =>
  readings
    .filter((reading) => reading.point === point && new Date(reading.t).getUTCHours() < 2)
    .map(({ value }) => value);
const jumps = (values: readonly number[]): number =>
  values.filter((value, i) => i > 0 && Math.abs(value - values[i - 1]!) > 5).length;

const every = ['tub/temperature', 'collector/inlet', 'collector/outlet', 'outdoor/temperature'];
const thermometers = [...every, 'collector/temperature'];

/** Faults that show only in houses of their own. */
const houseOf: Record<string, Overrides<House>> = {
  'limit-missing': soonFull,
  'element-dead': needy,
  'backup-heats-nothing': needy,
  'thermostat-high': needy,
  'backup-before-sun': needy,
};

type Sign = (faulty: Simulated, healthy: Simulated) => boolean;

/** One sign for each thermometer. */
const atEach = (fault: string, sign: (values: number[], healthy: number[]) => boolean) =>
  Object.fromEntries(
    thermometers.map((point): [string, Sign] => [
      `${fault}:${point}`,
      (faulty, healthy) => sign(told(faulty, point), told(healthy, point)),
    ]),
  );

const moved = ({ truth }: Simulated): number => truth.total.litres;
const gained = ({ truth }: Simulated): number => truth.total.gainKwh;

/** How each fault shows in what truly happens, or in what is told of it. */
const signs: Record<string, Sign> = {
  'pump-dead': (f) => moved(f) === 0 && top(told(f, 'collector/temperature')) > 95,
  'controller-mute': (f) => moved(f) === 0 && top(told(f, 'pump/running')) === 0,
  'pump-stuck-on': (f, h) => f.truth.total.lostKwh > h.truth.total.lostKwh + 4,
  'air-lock': (f) => moved(f) === 0 && top(told(f, 'pump/running')) === 1,
  'closed-valve': (f) => moved(f) === 0 && top(told(f, 'pump/power')) > 7,
  'blocked-rotor': (f) => moved(f) === 0 && top(told(f, 'pump/power')) > 22,
  clogging: (f, h) =>
    told(f, 'pump/flow').at(-400)! <= told(h, 'pump/flow').at(-400)! && moved(f) < 0.97 * moved(h),
  trickle: (f, h) => top(told(f, 'collector/outlet')) > top(told(h, 'collector/outlet')) + 10,
  'low-voltage': (f, h) =>
    top(told(f, 'pump/power')) < 0.7 * top(told(h, 'pump/power')) && moved(f) < 0.9 * moved(h),
  'tight-differences': (f, h) => f.truth.total.starts > 3 * h.truth.total.starts,
  'wide-on-difference': (f, h) => f.truth.total.pumpHours < h.truth.total.pumpHours - 0.3,
  'late-off': (f, h) => f.truth.total.lostKwh > 1.5 * h.truth.total.lostKwh,
  'controller-sensor-off': (f, h) => f.truth.total.pumpHours < h.truth.total.pumpHours - 1,
  'controller-sensor-high': (f, h) => f.truth.total.pumpHours > h.truth.total.pumpHours + 1,
  'limit-missing': (f, h) => f.truth.total.tubHighC > h.truth.total.tubHighC + 0.5,
  'backwards-at-night': (f, h) => f.truth.total.lostKwh > h.truth.total.lostKwh + 1,
  'meter-stands': (f) => top(told(f, 'pump/flow')) === 0 && moved(f) > 100,
  'meter-holds': (f) => mean(atNight(f, 'pump/flow').slice(-50)) > 2,
  'meter-noise': (f, h) =>
    mean(atNight(f, 'pump/flow')) > 0.5 && top(atNight(h, 'pump/flow')) === 0,
  'meter-wears': (f, h) => mean(told(f, 'pump/flow')) < 0.99 * mean(told(h, 'pump/flow')),
  'false-pulses': (f, h) =>
    Math.abs(top(told(f, 'pump/flow')) / top(told(h, 'pump/flow')) - 2) < 0.1,
  'pulse-factor': (f, h) =>
    Math.abs(top(told(f, 'pump/flow')) / top(told(h, 'pump/flow')) - 60) < 2,
  ...atEach('wire-open', (values) => values.length > 100 && values.every((v) => v === -127)),
  ...atEach('wire-short', (values) => values.length > 100 && values.every((v) => v === 127.94)),
  ...atEach('frozen', (values, h) => new Set(values).size === 1 && new Set(h).size > 5),
  ...atEach('jumping', (values, h) => jumps(values) > jumps(h) + 100),
  ...atEach('silent', (values, h) => values.length === 0 && h.length > 100),
  'offset:collector/outlet': (f, h) =>
    Math.abs(mean(told(f, 'collector/outlet')) - mean(told(h, 'collector/outlet')) - 1.4) < 0.05,
  'offset:collector/inlet': (f, h) =>
    Math.abs(mean(told(f, 'collector/inlet')) - mean(told(h, 'collector/inlet')) - 1.4) < 0.05,
  'pair-swapped': (f, h) => top(told(f, 'collector/inlet')) > top(told(h, 'collector/inlet')) + 2,
  'tub-and-collector-swapped': (f) => top(told(f, 'tub/temperature')) > 44,
  'collector-sensor-slipped': (f, h) =>
    top(told(f, 'collector/temperature')) < top(told(h, 'collector/temperature')) - 10,
  'tub-sensor-hanging': (f, h) =>
    mean(told(f, 'tub/temperature')) < mean(told(h, 'tub/temperature')) - 8,
  'sun-on-outdoor-sensor': (f, h) =>
    top(told(f, 'outdoor/temperature')) > top(told(h, 'outdoor/temperature')) + 4,
  'irradiance-sensor-dusty': (f, h) =>
    mean(told(f, 'collector/irradiance')) < 0.98 * mean(told(h, 'collector/irradiance')),
  'board-silent': (f) => f.readings.length === 0,
  'nothing-heard': (f) => f.readings.length === 0,
  'weak-supply': (f) => told(f, 'collector/inlet').filter((value) => value === 85).length > 8,
  'summer-time-missed': (f) => f.readings.every(({ t, arrivedAt }) => arrivedAt - t > 3_500_000),
  'clock-drifting': (f) => f.readings.at(-1)!.arrivedAt - f.readings.at(-1)!.t > 100_000,
  dirt: (f, h) => gained(f) < 0.97 * gained(h),
  'big-array': (f, h) => f.truth.total.pumpHours < 0.7 * h.truth.total.pumpHours,
  'small-array': (f, h) => gained(f) < 0.3 * gained(h),
  'collector-dead': (f, h) => gained(f) < 0.9 * gained(h),
  'pipes-bare': (f, h) => gained(f) < 0.98 * gained(h),
  'cover-soaked': (f, h) => Math.abs(f.truth.total.uaWPerK! / h.truth.total.uaWPerK! - 1.75) < 0.02,
  'cover-off': (f, h) => f.truth.total.openLossKwh > h.truth.total.openLossKwh + 20,
  leak: (f, h) => mean(told(f, 'tub/level')) < mean(told(h, 'tub/level')),
  'cold-snap': (f, h) => Math.abs(f.truth.total.airMeanC - h.truth.total.airMeanC + 16) < 0.01,
  'element-dead': (f, h) => f.truth.total.backupKwh === 0 && h.truth.total.backupKwh > 1,
  'backup-heats-nothing': (f) => f.truth.total.backupHeatKwh === 0 && f.truth.total.backupKwh > 1,
  'backup-never-stops': (f, h) =>
    Math.abs(f.truth.total.tubHighC - 50) < 1 &&
    f.truth.total.backupKwh > h.truth.total.backupKwh + 15,
  'thermostat-high': (f, h) => f.truth.total.tubHighC > h.truth.total.tubHighC + 1.5,
  'backup-before-sun': (f, h) => top(atNight(f, 'backup/power')) > 1900 && gained(f) < gained(h),
};

test('each fault that can be scripted shows, and each of the catalogue can be scripted', () => {
  expect(Object.keys(signs).sort()).toEqual([...faults.keys()].sort());
  const healthy = new Map([sunny, soonFull, needy].map((house) => [house, run(null, house)]));
  const unseen: string[] = [];
  // A sign that a healthy loop shows too would be none.
  const everywhere: string[] = [];
  for (const [name, sign] of Object.entries(signs)) {
    const house = houseOf[name] ?? sunny;
    const sound = healthy.get(house)!;
    if (!sign(run(name, house), sound)) unseen.push(name);
    if (sign(sound, sound)) everywhere.push(name);
  }
  expect(unseen).toEqual([]);
  expect(everywhere).toEqual([]);
  const raised = new Set([...faults.values()].flatMap(({ raises }) => raises));
  expect([...raised].sort()).toEqual([...catalogue].sort());
}, 180_000);

test('a fault that nobody knows is refused with the names that are known', () => {
  expect(() => run('pump-bewitched')).toThrow('known are pump-dead');
});
