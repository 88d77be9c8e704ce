import type { Chance } from './chance.ts';
import { classLimitK } from './drawn-instruments.ts';
import type { Flaws } from './flaws.ts';
import type { ThermometerTraits } from './house.ts';

/** Feels a temperature with its lag and reads it with its own error. */
export class Thermometer {
  readonly digital: boolean;
  private readonly traits: ThermometerTraits;
  private readonly flaws: Flaws;
  private readonly chance: Chance;
  private feltC = Number.NaN;

  constructor(traits: ThermometerTraits, flaws: Flaws, chance: Chance) {
    this.traits = traits;
    this.flaws = flaws;
    this.chance = chance;
    this.digital = traits.class.startsWith('digital');
  }

  feel(trueC: number, airC: number, seconds: number): void {
    const { traits, flaws } = this;
    const therebyC = flaws.has('mounting') ? trueC + traits.leak * (airC - trueC) : trueC;
    const kept = flaws.has('lag') ? Math.exp(-seconds / traits.lagS) : 0;
    this.feltC = Number.isNaN(this.feltC) ? therebyC : therebyC + (this.feltC - therebyC) * kept;
  }

  read(): number {
    const { traits, flaws, feltC } = this;
    const limitK = classLimitK(traits.class, feltC);
    const offset = flaws.has('offset') ? traits.offsetShare * limitK : 0;
    const noise = flaws.has('noise') ? traits.noiseK * this.chance.normal() : 0;
    const step = flaws.has('step') ? traits.stepK : 1e-4;
    return Math.round((feltC + offset + noise) / step) * step;
  }
}
