import { dayBounds } from '../../model/civil-time.ts';
import { clearPlaneSun } from '../../model/expected.ts';
import type { Trace, Traces } from '../../model/readings.ts';
import type { TubSetup } from '../../model/setup.ts';
import { sunPosition } from '../../model/sun.ts';
import { type SettingsVersion, type TubSettings, tubSettings } from '../../model/tub-settings.ts';

/** All that is so with a made-up loop at an instant; temperatures °C, powers W. */
export interface Scene {
  t: number; // ms
  /** Local hour of the day, 0…24. */
  hour: number;
  /** Days since the first one, with their fraction. */
  day: number;
  sunDeg: number; // elevation
  sunAzimuthDeg: number;
  sunWPerM2: number; // in the collectors' plane
  airC: number;
  collectorC: number; // water in the last collector
  outletC: number; // where the water comes back to the tub
  inletC: number; // where it leaves the tub
  tubC: number;
  /** What the controller asks for, and whether the pump has power. */
  asked: boolean;
  pumpOn: boolean;
  lPerMin: number;
  pumpW: number;
  backupW: number;
  coverOpen: boolean;
  filterOn: boolean;
  volumeL: number;
  backupKwh: number;
}

export interface LoopDaysOptions {
  /** A: tub, collector, pump; B: flow, to and from; C: power, air, sun, backup, cover. */
  kit?: 'A' | 'B' | 'C';
  from?: string; // local date
  days?: number;
  everyMs?: number;
  /** Smallest step of the thermometers, and standard deviation of their noise. [K] */
  stepK?: number;
  noiseK?: number;
  /** Tub at the beginning. [°C] */
  tubC?: number;
  /** Below it the backup heats by 1 K, with 2 kW; null: there is none. [°C] */
  backupC?: number | null;
  /** Local hours in which the cover is open for a bath, each day. */
  baths?: readonly (readonly [from: number, to: number])[];
  airC?: { mean: number; swing: number };
  /** Share of a clear sky's sun that comes through, 0…1. */
  sky?: (t: number, day: number) => number;
  setup?: Partial<Omit<TubSetup, 'id' | 'place'>> & { place?: TubSetup['place'] };
  seed?: number;
  /** Goes wrong with the loop itself: called at every step, after the controller has decided. */
  happens?: (scene: Scene) => void;
  /** Goes wrong with what is heard of a point, after its sensor's steps; null: nothing is. */
  bends?: Readonly<Record<string, (value: number, scene: Scene) => number | null>>;
}

/** What was heard of a healthy loop, or of one that was bent. */
export interface LoopDays {
  traces: Map<string, Trace>;
  settings: TubSettings;
  versions: SettingsVersion[];
  from: number; // ms
  to: number;
  timeZone: string;
}

type Heard = Record<string, (scene: Scene) => number>;

const flag = (isSo: boolean) => (isSo ? 1 : 0);
const kitA: Heard = {
  'tub/temperature': ({ tubC }) => tubC,
  'collector/temperature': ({ collectorC }) => collectorC,
  'pump/running': ({ pumpOn }) => flag(pumpOn),
};
const kitB: Heard = {
  ...kitA,
  'pump/flow': ({ lPerMin }) => lPerMin,
  'collector/inlet': ({ inletC }) => inletC,
  'collector/outlet': ({ outletC }) => outletC,
};
const kitC: Heard = {
  ...kitB,
  'pump/power': ({ pumpW }) => pumpW,
  'pump/commanded': ({ asked }) => flag(asked),
  'outdoor/temperature': ({ airC }) => airC,
  'collector/irradiance': ({ sunWPerM2 }) => sunWPerM2,
  'backup/power': ({ backupW }) => backupW,
  'backup/energy': ({ backupKwh }) => backupKwh,
  'tub/cover': ({ coverOpen }) => flag(!coverOpen),
  'filter/running': ({ filterOn }) => flag(filterOn),
};
const kits = { A: kitA, B: kitB, C: kitC };

const HOUR = 3_600_000; // ms
const STEP_S = 10;
const WET = { lPerMin: 3.5, watts: 13 };
const COLLECTOR_J_PER_M2_K = 8000;
const PIPE_LAG_S = 120;
const PIPE_DROP = 0.01; // share of what the water is above the air
const PIPE_COOLS_S = 2400;
const OPEN_TUB_W = 2500;
const BACKUP_W = 2000;

/** Days of a plain loop, step by step: enough for rules to tell right from wrong, no more. */
export function loopDays(options: LoopDaysOptions = {}): LoopDays {
  const { kit = 'A', days = 1, everyMs = 30_000, stepK = 0.0625, noiseK = 0.03 } = options;
  const { place, ...said } = options.setup ?? {};
  const settings = tubSettings({
    id: 'made-up',
    place: place ?? { latitude: -41.3, longitude: 174.8, timeZone: 'Pacific/Auckland' },
    ...said,
  });
  const { timeZone } = settings.place;
  const from = dayBounds(options.from ?? '2026-01-12', timeZone).from;
  const to = from + days * 24 * HOUR;
  const heard = kits[kit];
  const chance = new Chance(options.seed ?? 1);
  const rows = Object.keys(heard).map((point) => ({
    point,
    t: [] as number[],
    v: [] as number[],
  }));
  const scene = atFirst(from, options.tubC ?? 36);
  for (let t = from; t < to; t += STEP_S * 1000) {
    step(scene, t, from, settings, options);
    if ((t - from) % everyMs !== 0) continue;
    for (const { point, t: times, v } of rows) {
      const exact = heard[point]!(scene);
      const isTemperature = /temperature|let$/.test(point);
      const noisy = exact + noiseK * chance.normal();
      const clean = isTemperature ? Math.round(noisy / stepK) * stepK : exact;
      const bend = options.bends?.[point];
      const told = bend ? bend(clean, scene) : clean;
      if (told === null) continue;
      times.push(t);
      v.push(told);
    }
  }
  const traces = new Map(
    rows.map(({ point, t, v }) => [point, { t: Float64Array.from(t), v: Float64Array.from(v) }]),
  );
  const versions = [{ from: Number.NEGATIVE_INFINITY, settings }];
  return { traces, settings, versions, from, to, timeZone };
}

const atFirst = (t: number, tubC: number): Scene => ({
  t,
  hour: 0,
  day: 0,
  sunDeg: -90,
  sunAzimuthDeg: 0,
  sunWPerM2: 0,
  airC: 15,
  collectorC: 12,
  outletC: 20,
  inletC: 22,
  tubC,
  asked: false,
  pumpOn: false,
  lPerMin: 0,
  pumpW: 0,
  backupW: 0,
  coverOpen: false,
  filterOn: false,
  volumeL: 1000,
  backupKwh: 100,
});

const SUN_EVERY_MS = 300_000;

function step(
  scene: Scene,
  t: number,
  from: number,
  settings: TubSettings,
  options: LoopDaysOptions,
): void {
  const { airC = { mean: 15, swing: 5 }, baths = [], sky = () => 1 } = options;
  scene.t = t;
  scene.day = (t - from) / (24 * HOUR);
  scene.hour = (scene.day % 1) * 24;
  if ((t - from) % SUN_EVERY_MS === 0) lookAtSun(scene, settings, sky(t, scene.day));
  scene.airC = airC.mean + airC.swing * Math.sin(((scene.hour - 9) / 24) * 2 * Math.PI);
  scene.coverOpen = baths.some(([begins, ends]) => scene.hour >= begins && scene.hour < ends);
  scene.filterOn = false;
  control(scene, settings, options.backupC === undefined ? 35 : options.backupC);
  options.happens?.(scene);
  flow(scene, settings);
}

function lookAtSun(scene: Scene, settings: TubSettings, share: number): void {
  const { latitude, longitude } = settings.place;
  const sun = sunPosition(scene.t, latitude, longitude);
  const clear = clearPlaneSun(scene.t, settings);
  scene.sunDeg = sun.elevationDeg;
  scene.sunAzimuthDeg = sun.azimuthDeg;
  scene.sunWPerM2 = clear ? share * (clear.beam + clear.diffuse) : 0;
}

function control(scene: Scene, { controller, tub }: TubSettings, backupC: number | null): void {
  const { collectorC, tubC } = scene;
  const differenceK = collectorC - tubC;
  const isFull = tubC >= tub.limitC || (!scene.asked && tubC >= tub.limitC - 0.5);
  if (isFull || differenceK < controller.switchOffK) scene.asked = false;
  else if (differenceK >= controller.switchOnK) scene.asked = true;
  scene.pumpOn = scene.asked;
  scene.lPerMin = scene.pumpOn ? WET.lPerMin : 0;
  scene.pumpW = scene.pumpOn ? WET.watts : 0;
  if (backupC === null || tubC >= backupC + 1) scene.backupW = 0;
  else if (tubC < backupC) scene.backupW = BACKUP_W;
}

/** Moves heat about for one step, as the scene stands. */
function flow(scene: Scene, { collectors, tub }: TubSettings): void {
  const { airC, sunWPerM2, lPerMin } = scene;
  const areaM2 = collectors.count * collectors.areaM2;
  const rate = (lPerMin / 60) * 4160; // W/K
  const meanC = rate > 0 ? (scene.collectorC + scene.tubC) / 2 : scene.collectorC;
  const aboveK = meanC - airC + (sunWPerM2 > 0 ? 0 : 2); // an idle absorber is colder than the air
  const gainW =
    areaM2 * (collectors.eta0 * 0.97 * sunWPerM2 - collectors.a1 * aboveK) -
    areaM2 * collectors.a2 * aboveK * Math.abs(aboveK);
  const carriedW = rate * (scene.collectorC - scene.tubC);
  scene.collectorC += (STEP_S * (gainW - carriedW)) / (areaM2 * COLLECTOR_J_PER_M2_K);
  const [backC, lagS] =
    rate > 0
      ? [scene.collectorC - PIPE_DROP * (scene.collectorC - airC), PIPE_LAG_S]
      : [airC + 3, PIPE_COOLS_S];
  scene.outletC += (STEP_S / lagS) * (backC - scene.outletC);
  scene.inletC +=
    rate > 0
      ? (STEP_S / 60) * (scene.tubC - scene.inletC)
      : (STEP_S / PIPE_COOLS_S) * (airC + 5 - scene.inletC);
  const heatW =
    rate * (scene.outletC - scene.tubC) +
    scene.backupW -
    tub.lossWPerK * (scene.tubC - airC) -
    (scene.coverOpen ? OPEN_TUB_W : 0);
  scene.tubC += (STEP_S * heatW) / (tub.litres * 4160);
  scene.volumeL += (lPerMin * STEP_S) / 60;
  scene.backupKwh += (scene.backupW * STEP_S) / 3.6e6;
}

/** Chance that is the same at every run. */
class Chance {
  private state: number;

  constructor(seed: number) {
    this.state = seed;
  }

  next(): number {
    this.state = (Math.imul(this.state, 1664525) + 1013904223) >>> 0;
    return this.state / 2 ** 32;
  }

  /** Nearly normal: twelve added up. */
  normal(): number {
    let sum = -6;
    for (let i = 0; i < 12; i++) sum += this.next();
    return sum;
  }
}

/** What is left where nothing, or nothing of some points, was heard for a while. */
export function cutOut(traces: Traces, from: number, to: number, points?: readonly string[]) {
  return new Map(
    [...traces].map(([point, { t, v }]) => {
      if (points && !points.includes(point)) return [point, { t, v }];
      const keep = [...t.keys()].filter((i) => t[i]! < from || t[i]! >= to);
      return [
        point,
        { t: Float64Array.from(keep, (i) => t[i]!), v: Float64Array.from(keep, (i) => v[i]!) },
      ];
    }),
  );
}
