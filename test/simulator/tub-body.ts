import type { TubTraits } from './house.ts';
import { openWater } from './open-water.ts';
import { kgPerL, WATER_KJ } from './water.ts';
import type { Weather } from './weather.ts';

/** Share of what the walls take from the upper layer that cools the lower one. */
const SINKS = 0.7;
/** Share of the light on the open water that stays in it, people and walls shading some. */
const OPEN_TAKES = 0.5;

/** What happens to the tub in a step, beside what loop and backup do. */
export interface Doings {
  coverOpen: boolean;
  batherW: number;
  filterW: number;
  stirred: boolean; // filter, backup or people move the water
  hoseKg: number;
  carriedKg: number;
  leakKg: number;
  lossFactor: number; // times UA
}

/** Sums since the start [kJ, kg]; what leaves and comes with water counts from 0 °C. */
export interface TubSums {
  loopKJ: number;
  backupKJ: number;
  filterKJ: number;
  bathersKJ: number;
  sunKJ: number;
  coveredLossKJ: number;
  openLossKJ: number;
  waterKJ: number; // came with water, less what left with it
  /** ∫ (tub − air) dt while the cover was shut [K·s], for the true UA. */
  coveredKs: number;
}

/** The tub's water in two layers within a shell, and everything that warms or cools it. */
export class TubBody {
  readonly traits: TubTraits;
  readonly fullKg: number;
  kg: number;
  upperC: number;
  lowerC: number;
  shellC: number;
  readonly sums: TubSums = {
    loopKJ: 0,
    backupKJ: 0,
    filterKJ: 0,
    bathersKJ: 0,
    sunKJ: 0,
    coveredLossKJ: 0,
    openLossKJ: 0,
    waterKJ: 0,
    coveredKs: 0,
  };

  constructor(traits: TubTraits, startC: number) {
    this.traits = traits;
    this.fullKg = traits.litres * kgPerL(38);
    this.kg = this.fullKg;
    this.upperC = startC;
    this.lowerC = startC;
    this.shellC = startC;
  }

  /** The same water and shell once more; its sums begin anew. */
  twin(): TubBody {
    const twin = new TubBody(this.traits, 0);
    for (const key of ['kg', 'upperC', 'lowerC', 'shellC'] as const) twin[key] = this[key];
    return twin;
  }

  private get upper(): number {
    return this.traits.upperShare;
  }

  get meanC(): number {
    return this.upper * this.upperC + (1 - this.upper) * this.lowerC;
  }

  /** At a height of 0 (bottom) to 1 (surface). */
  atC = (height: number): number => this.lowerC + (this.upperC - this.lowerC) * height;

  get missingKg(): number {
    return this.fullKg - this.kg;
  }

  private get shellKJPerK(): number {
    return this.traits.shellShare * this.fullKg * WATER_KJ;
  }

  /** Heat of water and shell above 0 °C [kJ]. */
  get heldKJ(): number {
    return this.kg * WATER_KJ * this.meanC + this.shellKJPerK * this.shellC;
  }

  /** The water that leaves for the loop: from the bottom, or by the return where it runs backwards. */
  drawnC(reverse: boolean): number {
    return reverse && this.traits.returnsTo === 'upper' ? this.upperC : this.lowerC;
  }

  /** Water that went round the loop, and what of it came back. */
  circulate(drawnKg: number, backKg: number, backC: number, reverse: boolean): void {
    if (drawnKg <= 0) return;
    this.sums.loopKJ += backKg * WATER_KJ * (backC - this.drawnC(reverse));
    const upperTake = backKg / (this.upper * this.kg);
    const lowerTake = backKg / ((1 - this.upper) * this.kg);
    if (this.traits.returnsTo === 'lower') this.lowerC += lowerTake * (backC - this.lowerC);
    else if (reverse) {
      this.upperC += upperTake * (this.lowerC - this.upperC);
      this.lowerC += lowerTake * (backC - this.lowerC);
    } else {
      this.lowerC += lowerTake * (this.upperC - this.lowerC);
      this.upperC += upperTake * (backC - this.upperC);
    }
    if (drawnKg > backKg) this.take(drawnKg - backKg);
  }

  heat(kJ: number): void {
    this.warm(kJ, this.upper);
    this.sums.backupKJ += kJ;
  }

  /** One step of weather and people; `loopRuns` mixes the layers in part. */
  advance(seconds: number, weather: Weather, doings: Doings, loopRuns: boolean): void {
    const { traits } = this;
    this.gain('filterKJ', (doings.filterW * seconds) / 1000, this.upper);
    this.gain('bathersKJ', (doings.batherW * seconds) / 1000, this.upper);
    const taken = doings.coverOpen ? OPEN_TAKES : traits.sunShare;
    const sunW = taken * traits.surfaceM2 * weather.globalWm2;
    this.gain('sunKJ', (sunW * seconds) / 1000, 1);
    if (doings.hoseKg > 0) this.add(doings.hoseKg, weather.mainsC);
    this.take(doings.carriedKg + doings.leakKg);
    this.lose(seconds, weather, doings);
    this.mix(seconds, doings.stirred, loopRuns);
    this.shareWithShell(seconds);
  }

  private gain(sum: 'filterKJ' | 'bathersKJ' | 'sunKJ', kJ: number, upperShare: number): void {
    this.warm(kJ, upperShare);
    this.sums[sum] += kJ;
  }

  private lose(seconds: number, weather: Weather, doings: Doings): void {
    const { traits, sums } = this;
    const ua = this.uaWPerK(weather) * doings.lossFactor;
    const aboveUpper = this.upperC - weather.airC;
    const aboveLower = this.lowerC - weather.airC;
    const top = ua * traits.coverLossShare;
    const sides = ua - top;
    const sidesKJ =
      (sides * (this.upper * aboveUpper + (1 - this.upper) * aboveLower) * seconds) / 1000;
    // Water that cools at the walls sinks along them.
    this.warm(-sidesKJ, this.upper * (1 - SINKS));
    if (!doings.coverOpen) {
      const topKJ = (top * aboveUpper * seconds) / 1000;
      this.warm(-topKJ, 1);
      sums.coveredLossKJ += topKJ + sidesKJ;
      sums.coveredKs += (this.meanC - weather.airC) * seconds;
      return;
    }
    const open = openWater(traits.surfaceM2, this.upperC, weather, doings.batherW > 0);
    const openKJ = (open.lossW * seconds) / 1000;
    this.warm(-openKJ, 1);
    sums.openLossKJ += openKJ + sidesKJ;
    this.take(open.awayKgPerS * seconds);
  }

  /** In this weather, cover shut [W/K]. */
  uaWPerK({ windMs, raining }: Weather): number {
    const { uaWPerK, windShare, rainShare } = this.traits;
    return uaWPerK * Math.max(0.7, 1 + windShare * (windMs - 2) + (raining ? rainShare : 0));
  }

  private warm(kJ: number, upperShare: number): void {
    this.upperC += (kJ * upperShare) / (this.upper * this.kg * WATER_KJ);
    this.lowerC += (kJ * (1 - upperShare)) / ((1 - this.upper) * this.kg * WATER_KJ);
  }

  /** Water from the hose, into the upper layer; what the tub cannot hold runs over. */
  private add(kg: number, waterC: number): void {
    const upperKg = this.upper * this.kg;
    const mixedC = (upperKg * this.upperC + kg * waterC) / (upperKg + kg);
    const down = (1 - this.upper) * kg;
    const lowerKg = (1 - this.upper) * this.kg;
    this.lowerC = (lowerKg * this.lowerC + down * mixedC) / (lowerKg + down);
    this.upperC = mixedC;
    this.kg += kg;
    this.sums.waterKJ += kg * WATER_KJ * waterC;
    if (this.missingKg < 0) this.take(-this.missingKg);
  }

  private take(kg: number): void {
    if (kg <= 0) return;
    this.sums.waterKJ -= kg * WATER_KJ * this.meanC;
    this.kg -= kg;
  }

  /** Layers share heat slowly while still; colder water above warmer changes places at once. */
  private mix(seconds: number, stirred: boolean, loopRuns: boolean): void {
    const { traits, upper } = this;
    if (!traits.layered || stirred || this.upperC < this.lowerC) {
      const mean = this.meanC;
      const left = !traits.layered || this.upperC < this.lowerC ? 0 : Math.exp(-seconds / 60);
      this.upperC = mean + (this.upperC - mean) * left;
      this.lowerC = mean + (this.lowerC - mean) * left;
      return;
    }
    const wPerK = traits.stillWPerK + (loopRuns ? traits.loopMixWPerK : 0);
    const bothKJ = upper * (1 - upper) * this.kg * WATER_KJ;
    const left = Math.exp((-wPerK * seconds) / 1000 / bothKJ);
    const mean = this.meanC;
    this.upperC = mean + (this.upperC - mean) * left;
    this.lowerC = mean + (this.lowerC - mean) * left;
  }

  private shareWithShell(seconds: number): void {
    const shell = this.shellKJPerK;
    if (shell === 0) return;
    const share = 1 - Math.exp((-this.traits.shellWPerK * seconds) / 1000 / shell);
    const kJ = (this.meanC - this.shellC) * shell * share;
    this.shellC += kJ / shell;
    this.warm(-kJ, this.upper);
  }
}
