import { waterHeat } from './water.ts';

/** Parcels lighter than this join the one before, so that a trickle cannot fill the list. */
const lightestKg = 0.05;
const places = 256;

/** A pipe as plug flow: water leaves it as it came in, a transit time later, cooled by what it lost. */
export class Pipe {
  private readonly kg = new Float64Array(places);
  private readonly tempC = new Float64Array(places);
  /** Parcels stand from `oldest` (about to leave) in the direction of `newest`, round and round. */
  private oldest = 0;
  private count = 1;
  private readonly lossWPerKgK: number;

  constructor(lengthM: number, innerMm: number, lossWPerMK: number, startC: number) {
    const kgPerM = (Math.PI / 4) * innerMm ** 2 * 1e-3;
    this.lossWPerKgK = lossWPerMK / kgPerM;
    this.kg[0] = kgPerM * lengthM;
    this.tempC[0] = startC;
  }

  /** Pushes water in at one end; gives the mean temperature of what leaves at the other [°C]. */
  push(kg: number, tempC: number): number {
    this.enter(kg, tempC);
    let left = kg;
    let heat = 0;
    while (left > 0) {
      const taken = Math.min(left, this.kg[this.oldest]!);
      heat += taken * this.tempC[this.oldest]!;
      left -= taken;
      this.kg[this.oldest]! -= taken;
      if (this.kg[this.oldest]! <= 1e-12 && this.count > 1) {
        this.oldest = (this.oldest + 1) % places;
        this.count--;
      }
    }
    return heat / kg;
  }

  private enter(kg: number, tempC: number): void {
    const newest = this.newest();
    const before = this.kg[newest]!;
    if (before < lightestKg) {
      this.tempC[newest] = (before * this.tempC[newest]! + kg * tempC) / (before + kg);
      this.kg[newest] = before + kg;
      return;
    }
    const next = (newest + 1) % places;
    this.kg[next] = kg;
    this.tempC[next] = tempC;
    this.count++;
  }

  /** Lets the pipe lose heat to the air for `seconds`; gives what it lost [J], negative where it gained. */
  cool(airC: number, seconds: number): number {
    const kept = Math.exp((-this.lossWPerKgK * seconds) / waterHeat);
    let lost = 0;
    for (let i = 0; i < this.count; i++) {
      const at = (this.oldest + i) % places;
      const drop = (this.tempC[at]! - airC) * (1 - kept);
      this.tempC[at]! -= drop;
      lost += drop * this.kg[at]!;
    }
    return lost * waterHeat;
  }

  private newest(): number {
    return (this.oldest + this.count - 1) % places;
  }

  /** Where water comes in and where it leaves [°C]. */
  get inletC(): number {
    return this.tempC[this.newest()]!;
  }
  get outletC(): number {
    return this.tempC[this.oldest]!;
  }

  /** Heat in the pipe above 0 °C [J]. */
  get storedJ(): number {
    let sum = 0;
    for (let i = 0; i < this.count; i++) {
      const at = (this.oldest + i) % places;
      sum += this.kg[at]! * this.tempC[at]!;
    }
    return sum * waterHeat;
  }
}
