import type { TubSetup } from '../../model/setup.ts';
import { type ArrivedReading, Board } from './board.ts';
import { drawnHouse } from './drawn-house.ts';
import { type Entered, enteredSetup } from './entered.ts';
import { allFlaws, type Flaw } from './flaws.ts';
import { type House, type Kit, type Overrides, overridden } from './house.ts';
import { InstrumentSet } from './instruments.ts';
import { pointsOf } from './kit.ts';
import { LocalClock, laterDate } from './local-clock.ts';
import { Plant } from './plant.ts';
import { Script, type ScriptedFault } from './script.ts';
import { Tally } from './tally.ts';
import type { Truth } from './truth.ts';

export interface SimulateOptions {
  /** The same options give the same readings and the same truth. */
  seed: number;
  kit: Kit;
  /** First local date, `YYYY-MM-DD`. */
  from: string;
  days: number;
  /** Parts of the house in place of what the seed drew. */
  overrides?: Overrides<House>;
  faults?: readonly ScriptedFault[];
  /** How well the owner knows the house; `right` by default. */
  entered?: Entered;
  /** Which flaws the instruments have; all by default, `[]` for perfect ones. */
  flaws?: readonly Flaw[];
  /** The tub's name; `sim-` and the seed by default. */
  tub?: string;
}

/** How long the house lives before its readings begin, so that nothing of its first state is left. */
const BEFORE_DAYS = 3;

/**
 * A hot tub with its loop, people and instruments, with a truth that is known: for judging how well
 * heat, losses, savings, forecasts and faults are worked out. It shares no physics with the program.
 */
export class Simulation {
  readonly house: House;
  readonly setup: TubSetup;
  readonly points: readonly string[];
  private readonly plant: Plant;
  private readonly instruments: InstrumentSet;
  private readonly boards: Board[];
  private readonly script: Script;
  private readonly dates: string[];
  private readonly start: number;
  private readonly end: number;
  private truthAtEnd: Truth | null = null;

  constructor(options: SimulateOptions) {
    const { seed, kit, from, days, overrides = {}, tub = `sim-${seed}` } = options;
    this.house = overridden(drawnHouse(seed), overrides);
    const clock = new LocalClock(this.house.place.timeZone);
    this.dates = Array.from({ length: days }, (_, i) => laterDate(from, i));
    this.start = clock.startOf(from);
    this.end = clock.startOf(laterDate(from, days));
    const flaws = new Set(options.flaws ?? allFlaws);
    this.points = pointsOf(kit, this.house);
    this.setup = enteredSetup(
      seed,
      tub,
      this.house,
      this.points,
      options.entered ?? 'right',
      flaws,
    );
    const before = clock.startOf(laterDate(from, -BEFORE_DAYS));
    this.plant = new Plant(seed, this.house, before);
    this.script = new Script(seed, this.house, this.start, options.faults ?? []);
    this.instruments = new InstrumentSet(seed, this.plant, this.house, this.points, flaws);
    const { boards, statesAtOnce } = this.house.instruments;
    this.boards = boards.map(
      (board) => new Board(seed, tub, board, this.instruments, flaws, statesAtOnce, this.start),
    );
  }

  /** Readings in the order of their arrival, a local day at a time; can be gone through once. */
  *batches(): Generator<ArrivedReading[], void> {
    const { plant, start } = this;
    while (plant.moment.t < start) plant.step();
    plant.part();
    const tally = new Tally(plant, this.house);
    let waiting: ArrivedReading[] = [];
    const send = (reading: ArrivedReading) => waiting.push(reading);
    for (const date of this.dates) {
      const dayEnd = plant.clock.nextDay(plant.moment.t);
      while (plant.moment.t < dayEnd) {
        plant.trouble = this.script.at(plant.moment.t);
        plant.step();
        tally.add();
        this.instruments.feel();
        for (const board of this.boards) board.step(plant.moment.t, plant.trouble, send);
      }
      const last = date === this.dates.at(-1);
      tally.endDay(date, last || laterDate(date, 1).endsWith('-01'));
      waiting.sort((a, b) => a.arrivedAt - b.arrivedAt);
      const arrived = last ? waiting.length : waiting.findIndex((r) => r.arrivedAt >= dayEnd);
      const ready = arrived < 0 ? waiting : waiting.slice(0, arrived);
      waiting = arrived < 0 ? [] : waiting.slice(arrived);
      if (last) this.truthAtEnd = this.truthOf(tally);
      yield ready;
    }
  }

  /** What truly was. @throws before the readings were gone through */
  get truth(): Truth {
    if (!this.truthAtEnd) throw new Error('the truth is known when all readings were taken');
    return this.truthAtEnd;
  }

  private truthOf(tally: Tally): Truth {
    const { start, end } = this;
    return {
      from: start,
      to: end,
      days: tally.days,
      months: tally.months,
      total: tally.total(),
      quarters: tally.quarters,
      nightUa: tally.nights,
      happenings: this.plant.people.happenings.filter(({ to }) => to > start),
      faults: this.script.told,
    };
  }
}

export interface Simulated {
  setup: TubSetup;
  house: House;
  /** In the order of their arrival. */
  readings: ArrivedReading[];
  truth: Truth;
}

/** Runs a simulation to its end and keeps all its readings; for long runs take `Simulation.batches`. */
export function simulate(options: SimulateOptions): Simulated {
  const simulation = new Simulation(options);
  const readings: ArrivedReading[] = [];
  for (const batch of simulation.batches()) for (const reading of batch) readings.push(reading);
  const { setup, house, truth } = simulation;
  return { setup, house, readings, truth };
}
