import type { Chance } from './chance.ts';
import type { Flaws } from './flaws.ts';
import type { MeterTraits } from './house.ts';
import type { Trouble } from './trouble.ts';

/** A turbine that counts pulses: it reads off by a constant gain and stands still below some flow. */
export class FlowMeter {
  private readonly traits: MeterTraits;
  private readonly flaws: Flaws;
  private readonly chance: Chance;
  private counted = 0; // l since the last restart
  private nowLPerMin = 0;
  private before = { counted: 0, seconds: 0 };
  private seconds = 0;

  constructor(traits: MeterTraits, flaws: Flaws, chance: Chance) {
    this.traits = traits;
    this.flaws = flaws;
    this.chance = chance;
  }

  pass(litres: number, seconds: number, { meter }: Trouble): void {
    const { traits, flaws } = this;
    const lPerMin = (60 * litres) / seconds;
    const stands = flaws.has('start') && lPerMin < traits.startLPerMin;
    const gain = (flaws.has('gain') ? traits.gain : 1) * meter.gain;
    this.nowLPerMin = (stands ? 0 : lPerMin * gain) + meter.addsLPerMin;
    this.counted += (this.nowLPerMin * seconds) / 60;
    this.seconds += seconds;
  }

  /** [l/min]; a mean is over the time since it was read last. */
  readRate(): number {
    const { traits, flaws, before } = this;
    const wobble = flaws.has('noise') ? 1 + 0.005 * this.chance.normal() : 1;
    if (!flaws.has('counting') || traits.rateIs === 'now') return this.nowLPerMin * wobble;
    const pulses =
      Math.floor(this.counted * traits.pulsesPerL) - Math.floor(before.counted * traits.pulsesPerL);
    const seconds = this.seconds - before.seconds;
    this.before = { counted: this.counted, seconds: this.seconds };
    return seconds > 0 ? (60 * pulses) / traits.pulsesPerL / seconds : 0;
  }

  /** [l] */
  readVolume(): number {
    const step = this.flaws.has('counting') ? this.traits.counterStepL : 1e-4;
    return Math.floor(this.counted / step + 1e-9) * step;
  }

  restart(): void {
    this.counted = 0;
    this.before = { counted: 0, seconds: this.seconds };
  }
}
