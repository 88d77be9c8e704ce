import type { House } from './house.ts';
import { PipeRun } from './pipe-run.ts';
import { Plane } from './plane-light.ts';
import { SolarArray } from './solar-array.ts';
import type { Trouble } from './trouble.ts';
import { WATER_KJ } from './water.ts';
import type { Weather } from './weather.ts';

/** What a step of the loop did to the tub. */
export interface LoopStep {
  /** Drawn out of the tub and given back to it [kg]; what is missing fills collectors. */
  drawnKg: number;
  backKg: number;
  backC: number;
  /** Heat to the tub at its own boundary; negative where the loop carried some out [kJ]. */
  heatKJ: number;
}

/** Collectors, and the pipes there and back. The pair of sensors sits near either end of the pipes. */
export class Circuit {
  readonly array: SolarArray;
  readonly plane: Plane;
  private readonly there: PipeRun;
  private readonly back: PipeRun;
  private readonly house: House;
  /** Sums since the start [kJ], for the balance. */
  readonly sums = { sunKJ: 0, arrayLossKJ: 0, ventedKJ: 0, pipeLossKJ: 0 };
  private readonly done: LoopStep = { drawnKg: 0, backKg: 0, backC: 0, heatKJ: 0 };

  constructor(house: House, startC: number) {
    this.house = house;
    this.array = new SolarArray(house.array, startC);
    this.plane = new Plane(house.array, house.shade);
    this.there = new PipeRun(house.loop.metresEachWay, house.loop, startC);
    this.back = new PipeRun(house.loop.metresEachWay, house.loop, startC);
  }

  /** One step; `kg` goes round, backwards where `reverse`, and the tub gives it at `tubC`. */
  advance(
    seconds: number,
    weather: Weather,
    { kg, reverse, tubC }: { kg: number; reverse: boolean; tubC: number },
    trouble: Trouble,
  ): LoopStep {
    const { array, there, back, sums, done } = this;
    const [into, outOf] = reverse ? [back, there] : [there, back];
    const taken = this.plane.light(weather).takenWm2 * trouble.light;
    const inC = into.push(kg, tubC, reverse);
    array.advance(seconds, taken, weather, { kg, inC, reverse }, trouble.deadCollector);
    done.drawnKg = kg;
    done.backKg = array.last.outKg;
    done.backC = outOf.push(array.last.outKg, array.last.outC, reverse);
    done.heatKJ = done.backKg * WATER_KJ * (done.backC - tubC);
    for (const pipe of [there, back]) {
      pipe.rest(seconds, weather.airC, kg > 0, trouble.pipeLoss);
      sums.pipeLossKJ += pipe.lossKJ;
    }
    sums.sunKJ += array.last.sunKJ;
    sums.arrayLossKJ += array.last.lossKJ;
    sums.ventedKJ += array.last.ventedKJ;
    return done;
  }

  /** Heat above 0 °C that the last step brought out, less what it drew in at `tubC` [kJ]. */
  exchangedKJ(tubC: number): number {
    const { backKg, backC, drawnKg } = this.done;
    return WATER_KJ * (backKg * backC - drawnKg * tubC);
  }

  /** Where the pair's first sensor sits [°C]. */
  get inletC(): number {
    const { pairAt, pairMetres } = this.house.loop;
    return pairAt === 'tub'
      ? this.there.fromNearEnd(pairMetres)
      : this.there.fromFarEnd(pairMetres);
  }

  get outletC(): number {
    const { pairAt, pairMetres } = this.house.loop;
    return pairAt === 'tub' ? this.back.fromFarEnd(pairMetres) : this.back.fromNearEnd(pairMetres);
  }

  /** Heat above 0 °C [kJ]. */
  get heldKJ(): number {
    return this.array.heldKJ + this.there.heldKJ + this.back.heldKJ;
  }
}
