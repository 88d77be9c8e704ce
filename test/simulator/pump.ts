import { type Chance, Stray } from './chance.ts';
import type { PumpTraits } from './house.ts';
import type { Trouble } from './trouble.ts';

const DAY = 86_400; // s
/** A panel of its own gives the pump its full voltage from this light on, and too little below the other [W/m²]. */
const PANEL = { fullWm2: 650, leastWm2: 120 };
const SPIN_UP_S = 4;

/** A pump that tires slowly, strays a little, and on a panel of its own runs as fast as the sun lets it. */
export class Pump {
  private readonly traits: PumpTraits;
  private readonly stray: Stray;
  private ageS = 0;
  private spin = 0; // 0…1 of its full speed
  private driven = 0;
  private powered = false;

  constructor(traits: PumpTraits, chance: Chance) {
    this.traits = traits;
    this.stray = new Stray(chance, traits.strays, 0.7 * DAY);
  }

  /** @returns water moved just now [l/min] */
  advance(seconds: number, asked: boolean, planeWm2: number, { pump }: Trouble): number {
    this.ageS += seconds;
    const stray = this.stray.advance(seconds);
    this.driven = (asked || pump.forcedOn) && !pump.dead ? this.share(planeWm2) : 0;
    this.powered = this.driven > 0;
    this.spin += (this.driven - this.spin) * (1 - Math.exp(-seconds / SPIN_UP_S));
    if (this.spin < 0.01) this.spin = 0;
    const aged = 1 + (this.traits.driftPerMonth * this.ageS) / (30 * DAY) + stray;
    return this.spin * this.traits.lPerMin * aged * pump.moves;
  }

  private share(planeWm2: number): number {
    if (this.traits.supply === 'mains') return 1;
    const { fullWm2, leastWm2 } = PANEL;
    if (planeWm2 < leastWm2) return 0;
    return 0.4 + 0.6 * Math.min(1, (planeWm2 - leastWm2) / (fullWm2 - leastWm2));
  }

  /** Whether it has power. */
  get isPowered(): boolean {
    return this.powered;
  }

  get turns(): boolean {
    return this.spin > 0.1;
  }

  get volts(): number {
    return this.traits.volts * this.driven;
  }

  /** What it draws [W]. */
  watts(draws: number): number {
    return this.powered ? this.traits.watts * this.driven ** 2 * draws : 0;
  }
}
