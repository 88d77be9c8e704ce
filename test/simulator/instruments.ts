import { Chance } from './chance.ts';
import type { Flaws } from './flaws.ts';
import { FlowMeter } from './flow-meter.ts';
import type { House } from './house.ts';
import { thermometerAt } from './kit.ts';
import { type Plant, STEP_S } from './plant.ts';
import { Thermometer } from './thermometer.ts';
import type { Scene } from './trouble.ts';

/** One point as its instrument has it. */
interface Instrument {
  point: string;
  /** A 0/1 point, told when it changes. */
  flag: boolean;
  /** A chip that answers 85.0 after a start and −127 where it did not answer. */
  digital: boolean;
  feel?(scene: Scene): void;
  read(): number;
  restart?(): void;
}

/** All instruments of a kit at one plant. */
export class InstrumentSet {
  readonly instruments: Instrument[];
  private readonly plant: Plant;
  private readonly house: House;

  constructor(seed: number, plant: Plant, house: House, points: readonly string[], flaws: Flaws) {
    this.plant = plant;
    this.house = house;
    this.instruments = points.map((point) => this.make(seed, point, flaws));
  }

  /** To be called after every step. */
  feel(): void {
    const scene = this.plant.scene(this.house.instruments.tub.height);
    for (const instrument of this.instruments) instrument.feel?.(scene);
  }

  private make(seed: number, point: string, flaws: Flaws): Instrument {
    const chance = new Chance(seed, `reads ${point}`);
    const traits = thermometerAt(point, this.house);
    if (traits) {
      const number = collectorOf(point);
      // One draw of the traits serves all collectors; each sensor still has an error of its own.
      const own = number ? { ...traits, offsetShare: chance.between(-1, 1) } : traits;
      return this.thermometer(point, new Thermometer(own, flaws, chance));
    }
    if (point === 'pump/flow' || point === 'pump/volume') return this.meter(point, flaws, chance);
    if (point === 'collector/irradiance') return this.irradiance(point, flaws, chance);
    if (point === 'backup/energy') return this.energy(point, flaws);
    if (point in states) return this.plain(point, true, states[point]!);
    return this.plain(point, false, amounts(this.house, flaws, chance)[point]!);
  }

  private plain(point: string, flag: boolean, of: (plant: Plant) => number): Instrument {
    return { point, flag, digital: false, read: () => of(this.plant) };
  }

  private thermometer(point: string, thermometer: Thermometer): Instrument {
    const natural = felt(point);
    return {
      point,
      flag: false,
      digital: thermometer.digital,
      feel: (scene) => {
        const seen = this.plant.trouble.sees.get(point);
        thermometer.feel(seen ? seen(scene) : natural(scene), scene.airC, STEP_S);
      },
      read: () => thermometer.read(),
    };
  }

  private meter(point: string, flaws: Flaws, chance: Chance): Instrument {
    const meter = new FlowMeter(this.house.instruments.meter, flaws, chance);
    return {
      point,
      flag: false,
      digital: false,
      feel: () => meter.pass(this.plant.moment.litres, STEP_S, this.plant.trouble),
      read: () => (point === 'pump/flow' ? meter.readRate() : meter.readVolume()),
      restart: () => meter.restart(),
    };
  }

  private irradiance(point: string, flaws: Flaws, chance: Chance): Instrument {
    const gain = flaws.has('offset') ? this.house.instruments.irradianceGain : 1;
    let seenWm2 = 0;
    return {
      point,
      flag: false,
      digital: false,
      feel: (scene) => {
        seenWm2 = this.plant.trouble.sees.get(point)?.(scene) ?? scene.planeWm2;
      },
      read: () => {
        const noise = flaws.has('noise') ? 2 * chance.normal() : 0;
        return Math.round(10 * (gain * seenWm2 + noise)) / 10;
      },
    };
  }

  private energy(point: string, flaws: Flaws): Instrument {
    const step = flaws.has('counting') ? this.house.instruments.energyStepKwh : 1e-6;
    let kwh = 0;
    return {
      point,
      flag: false,
      digital: false,
      feel: () => {
        kwh += (this.plant.moment.backupW * STEP_S) / 3.6e6;
      },
      read: () => Math.floor(kwh / step + 1e-9) * step,
    };
  }
}

const collectorOf = (point: string): number =>
  Number(/^collector\/(\d+)\/temperature$/.exec(point)?.[1] ?? 0);

/** What a thermometer in its right place feels. */
function felt(point: string): (scene: Scene) => number {
  const number = collectorOf(point);
  if (number > 0) return (scene) => scene.eachC[number - 1]!;
  const places: Record<string, (scene: Scene) => number> = {
    'tub/temperature': (scene) => scene.tubC,
    'collector/temperature': (scene) => scene.collectorC,
    'collector/inlet': (scene) => scene.inletC,
    'collector/outlet': (scene) => scene.outletC,
    'outdoor/temperature': (scene) => scene.airC,
  };
  return places[point]!;
}

const states: Record<string, (plant: Plant) => number> = {
  'pump/running': (plant) => plant.toldRunning(),
  'tub/cover': ({ moment }) => (moment.coverOpen ? 0 : 1),
  'tub/level': (plant) => (plant.levelLow() ? 0 : 1),
  'filter/running': ({ moment }) => (moment.filterOn ? 1 : 0),
};

function amounts(
  { backup }: House,
  flaws: Flaws,
  chance: Chance,
): Record<string, (plant: Plant) => number> {
  const read = (value: number, noise: number) => {
    const off = flaws.has('noise') && value > 0 ? noise * chance.normal() : 0;
    return Math.max(0, Math.round(100 * (value + off)) / 100);
  };
  return {
    'pump/power': ({ moment }) => read(moment.pumpW, 0.1),
    'pump/voltage': ({ moment }) => read(moment.volts, 0.05),
    'backup/power': ({ moment }) => read(moment.backupW, backup.watts / 200),
  };
}
