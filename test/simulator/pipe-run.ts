import { WATER_KJ } from './water.ts';

const ROOM = 128; // slugs; small ones being joined, some forty are in use
const WALLS = 10; // parts of the pipe's wall

/**
 * A pipe as a train of slugs of water that pass along it, each at its own temperature, through a wall
 * that takes heat of its own and loses it to the air. Water enters at either end.
 */
export class PipeRun {
  private readonly kg = new Float64Array(ROOM);
  private readonly c = new Float64Array(ROOM);
  private readonly wallC: Float64Array;
  private readonly fullKg: number;
  private readonly metres: number;
  private readonly wallKJPerMK: number;
  private readonly lossWPerMK: number;
  private first = 0;
  private count: number;
  /** What the last step lost to the air [kJ]. */
  lossKJ = 0;

  constructor(
    metres: number,
    {
      innerMm,
      wallKJPerMK,
      lossWPerMK,
    }: { innerMm: number; wallKJPerMK: number; lossWPerMK: number },
    startC: number,
  ) {
    this.metres = metres;
    this.wallKJPerMK = wallKJPerMK;
    this.lossWPerMK = lossWPerMK;
    this.fullKg = (metres * Math.PI * innerMm * innerMm) / 4000; // 1 mm² over 1 m holds 1 ml
    this.wallC = new Float64Array(WALLS).fill(startC);
    this.count = WALLS;
    this.kg.fill(this.fullKg / WALLS, 0, WALLS);
    this.c.fill(startC, 0, WALLS);
  }

  /** Pushes water in at one end, at the other as much comes out. @returns its temperature [°C] */
  push(kg: number, inC: number, reverse: boolean): number {
    if (kg <= 0) return inC;
    // No slug is longer than a part of the wall, or it would share more heat with it than is there.
    const pieces = Math.ceil((kg * WALLS) / this.fullKg);
    for (let piece = 0; piece < pieces; piece++) this.enter(kg / pieces, inC, reverse);
    let left = kg;
    let heat = 0;
    while (left > 1e-12) {
      const i = reverse ? this.first : this.at(this.count - 1);
      const taken = Math.min(left, this.kg[i]!);
      heat += taken * this.c[i]!;
      left -= taken;
      this.kg[i]! -= taken;
      if (this.kg[i]! <= 1e-12) this.drop(reverse);
    }
    return heat / kg;
  }

  /** Water and wall share their heat, and the wall loses some to the air. */
  rest(seconds: number, airC: number, flowing: boolean, lossFactor: number): void {
    const perMetre = this.metres / this.fullKg;
    // From water to wall [W/(m·K)]: it goes far more easily while water moves.
    const passesKW = (flowing ? 40 : 8) / 1000;
    const wallMetre = this.metres / WALLS;
    let behindKg = 0;
    for (let n = 0; n < this.count; n++) {
      const i = this.at(n);
      const kg = this.kg[i]!;
      const part = Math.min(WALLS - 1, Math.floor(((behindKg + kg / 2) / this.fullKg) * WALLS));
      behindKg += kg;
      const metres = kg * perMetre;
      const bothKJ = 1 / (1 / (kg * WATER_KJ) + 1 / (metres * this.wallKJPerMK));
      const share = 1 - Math.exp((-passesKW * metres * seconds) / bothKJ);
      const gives = (this.c[i]! - this.wallC[part]!) * bothKJ * share;
      this.c[i]! -= gives / (kg * WATER_KJ);
      this.wallC[part]! += gives / (wallMetre * this.wallKJPerMK);
    }
    const cools = 1 - Math.exp((-this.lossWPerMK * lossFactor * seconds) / 1000 / this.wallKJPerMK);
    this.lossKJ = 0;
    for (let part = 0; part < WALLS; part++) {
      const gone = (this.wallC[part]! - airC) * cools;
      this.wallC[part]! -= gone;
      this.lossKJ += gone * wallMetre * this.wallKJPerMK;
    }
  }

  /** Water at some metres from the far end [°C], where `reverse` water enters. */
  fromFarEnd(metres: number): number {
    let kg = (metres / this.metres) * this.fullKg;
    for (let n = this.count - 1; n > 0; n--) {
      kg -= this.kg[this.at(n)]!;
      if (kg < 0) return this.c[this.at(n)]!;
    }
    return this.c[this.first]!;
  }

  fromNearEnd = (metres: number): number => this.fromFarEnd(this.metres - metres);

  /** Heat above 0 °C [kJ]. */
  get heldKJ(): number {
    let sum = 0;
    for (let n = 0; n < this.count; n++)
      sum += this.kg[this.at(n)]! * this.c[this.at(n)]! * WATER_KJ;
    const wallKJPerK = (this.metres / WALLS) * this.wallKJPerMK;
    return this.wallC.reduce((all, c) => all + c * wallKJPerK, sum);
  }

  private at = (n: number): number => (this.first + n) % ROOM;

  /** A small slug joins the one before it: a trickle would make too many. */
  private enter(kg: number, inC: number, reverse: boolean): void {
    const end = reverse ? this.at(this.count - 1) : this.first;
    if (this.kg[end]! < this.fullKg / 24 || this.count > ROOM - 4) {
      this.c[end] = (this.kg[end]! * this.c[end]! + kg * inC) / (this.kg[end]! + kg);
      this.kg[end]! += kg;
      return;
    }
    if (!reverse) this.first = (this.first + ROOM - 1) % ROOM;
    this.count++;
    const fresh = reverse ? this.at(this.count - 1) : this.first;
    this.kg[fresh] = kg;
    this.c[fresh] = inC;
  }

  private drop(reverse: boolean): void {
    if (reverse) this.first = (this.first + 1) % ROOM;
    this.count--;
  }
}
