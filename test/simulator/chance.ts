/** Randomness of its own for each thing that needs some, so that a draw more here moves none there. */
export class Chance {
  private a: number;
  private b: number;
  private c: number;
  private count = 1;

  /** The same seed and name give the same numbers. */
  constructor(seed: number, name: string) {
    let hash = 0x811c9dc5 ^ seed;
    const mixed = (part: number): number => {
      hash = Math.imul(hash ^ part, 0x01000193);
      hash = Math.imul(hash ^ (hash >>> 15), 0x2c1b3c6d);
      return (hash ^ (hash >>> 13)) >>> 0;
    };
    for (let i = 0; i < name.length; i++) mixed(name.charCodeAt(i));
    [this.a, this.b, this.c] = [mixed(1), mixed(2), mixed(3)];
    for (let i = 0; i < 12; i++) this.unit();
  }

  /** Evenly 0 ≤ x < 1 (small fast counting generator). */
  unit(): number {
    const sum = (this.a + this.b + this.count++) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = ((this.c << 21) | (this.c >>> 11)) + sum;
    return (sum >>> 0) / 4_294_967_296;
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.unit();
  }

  /** A whole number, both ends included. */
  whole(low: number, high: number): number {
    return Math.floor(this.between(low, high + 1));
  }

  happens(probability: number): boolean {
    return this.unit() < probability;
  }

  oneOf<T>(list: readonly T[]): T {
    return list[Math.floor(this.unit() * list.length)]!;
  }

  /** Mean 0, standard deviation 1 (Box and Muller). */
  normal(): number {
    return Math.sqrt(-2 * Math.log(1 - this.unit())) * Math.cos(2 * Math.PI * this.unit());
  }

  exponential(mean: number): number {
    return -mean * Math.log(1 - this.unit());
  }

  /** Half of them below the median; two thirds within a factor `spread` of it. */
  logNormal(median: number, spread: number): number {
    return median * spread ** this.normal();
  }
}

/** A value that strays about 0 and finds back (Ornstein and Uhlenbeck). */
export class Stray {
  value: number;
  private readonly chance: Chance;
  private readonly deviation: number;
  private readonly memoryS: number;

  constructor(chance: Chance, deviation: number, memoryS: number) {
    this.chance = chance;
    this.deviation = deviation;
    this.memoryS = memoryS;
    this.value = deviation * chance.normal();
  }

  advance(seconds: number): number {
    const kept = Math.exp(-seconds / this.memoryS);
    this.value =
      this.value * kept + this.deviation * Math.sqrt(1 - kept * kept) * this.chance.normal();
    return this.value;
  }
}
