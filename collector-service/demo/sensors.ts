import { noise } from './chance.ts';
import { demoTub } from './place.ts';

/** What the sensors can touch of the simulated loop, as it truly is. */
export interface Plant {
  tubC: number;
  coverOpen: boolean;
  levelEnough: boolean;
  collectorsC: ArrayLike<number>;
  /** Water at the tub's end of the pipe to the collectors, and of the pipe back. */
  inletC: number;
  outletC: number;
  planeWm2: number;
  airC: number;
  pumpAsked: boolean;
  pumpRuns: boolean;
  flowLPerMin: number;
  litres: number;
  backupW: number;
  backupKwh: number;
  filterRuns: boolean;
}

interface Sensor {
  point: string;
  truth: (plant: Plant) => number;
  /** Smallest steps that one unit is read in: 16 for steps of 0.0625. */
  perUnit: number;
  /** Time constant with which it follows [s]. */
  lagS: number;
  /** Standard deviation from one reading to the next; what stands at 0 has none. */
  spread: number;
  /** What it reads too high. */
  offset: number;
  /** The unit that the board sends, and how many of it make one of the point's own unit. */
  unit?: string;
  perPoint?: number;
}

const sensor = (
  point: string,
  truth: Sensor['truth'],
  rest: Omit<Sensor, 'point' | 'truth' | 'lagS' | 'spread' | 'offset'> & Partial<Sensor>,
): Sensor => ({ point, truth, lagS: 0, spread: 0, offset: 0, ...rest });

/** The one-wire digital kind, in steps of 0.0625 °C. */
const digital = (point: string, lagS: number, truth: Sensor['truth'], offset = 0): Sensor =>
  sensor(point, truth, { perUnit: 16, lagS, spread: 0.025, offset, unit: 'Cel' });

const flag = (point: string, truth: (plant: Plant) => boolean): Sensor =>
  sensor(point, (plant) => Number(truth(plant)), { perUnit: 1 });

const lastCollector = demoTub.collectors.count - 1;
/** The correction of the set-up takes away exactly what this sensor reads too high. */
const inletOffset = -demoTub.corrections['collector/inlet'].offset;

const sensors: readonly Sensor[] = [
  digital('tub/temperature', 60, (plant) => plant.tubC),
  flag('tub/cover', (plant) => !plant.coverOpen),
  flag('tub/level', (plant) => plant.levelEnough),
  digital('collector/temperature', 30, (plant) => plant.collectorsC[lastCollector]!),
  ...Array.from({ length: demoTub.collectors.count }, (_, i) =>
    digital(`collector/${i + 1}/temperature`, 30, (plant) => plant.collectorsC[i]!),
  ),
  digital('collector/inlet', 20, (plant) => plant.inletC, inletOffset),
  digital('collector/outlet', 20, (plant) => plant.outletC),
  sensor('collector/irradiance', (plant) => plant.planeWm2, {
    perUnit: 1,
    lagS: 5,
    spread: 1.5,
    unit: 'W/m2',
  }),
  flag('pump/running', (plant) => plant.pumpRuns),
  flag('pump/commanded', (plant) => plant.pumpAsked),
  sensor('pump/power', (plant) => (plant.pumpRuns ? demoTub.pump.watts : 0), {
    perUnit: 10,
    spread: 0.15,
    unit: 'W',
  }),
  sensor('pump/voltage', (plant) => (plant.pumpRuns ? 12 : 12.2), {
    perUnit: 100,
    spread: 0.02,
    unit: 'V',
  }),
  sensor('pump/flow', (plant) => plant.flowLPerMin, {
    perUnit: 100,
    spread: 0.02,
    unit: 'l/s',
    perPoint: 1 / 60,
  }),
  sensor('pump/volume', (plant) => plant.litres, { perUnit: 10, unit: 'l' }),
  sensor('backup/power', (plant) => plant.backupW, { perUnit: 1, spread: 6, unit: 'W' }),
  sensor('backup/setpoint', () => demoTub.tub.targetC, { perUnit: 2, unit: 'Cel' }),
  sensor('backup/energy', (plant) => plant.backupKwh, {
    perUnit: 100,
    unit: 'J',
    perPoint: 3.6e6,
  }),
  flag('filter/running', (plant) => plant.filterRuns),
  digital('outdoor/temperature', 300, (plant) => plant.airC),
];

/** The points of the demonstration, in the order in which values are read. */
export const demoPoints: readonly string[] = sensors.map(({ point }) => point);

/** How a point's value goes over the wire: its SenML unit, and the number in that unit. */
export const wireUnits: readonly { unit?: string; perPoint: number }[] = sensors.map(
  ({ unit, perPoint = 1 }) => ({ unit, perPoint }),
);

/** All sensors with what they have followed so far. */
export class Senses {
  private readonly followed: Float64Array;
  private readonly share: Float64Array;

  constructor(plant: Plant, stepS: number) {
    this.followed = Float64Array.from(sensors, ({ truth }) => truth(plant));
    this.share = Float64Array.from(sensors, ({ lagS }) =>
      lagS === 0 ? 1 : 1 - Math.exp(-stepS / lagS),
    );
  }

  follow(plant: Plant): void {
    for (let i = 0; i < sensors.length; i++) {
      this.followed[i]! += (sensors[i]!.truth(plant) - this.followed[i]!) * this.share[i]!;
    }
  }

  /** What each sensor reads now, in the order of `demoPoints`; `step` numbers the reading's noise. */
  read(seed: number, step: number): Float64Array {
    return Float64Array.from(sensors, ({ spread, offset, perUnit }, i) => {
      const followed = this.followed[i]!;
      const jitter = followed === 0 ? 0 : spread * noise(seed, 100 + i, step);
      // The sum turns −0 into 0.
      return Math.round((followed + offset + jitter) * perUnit) / perUnit + 0;
    });
  }
}
