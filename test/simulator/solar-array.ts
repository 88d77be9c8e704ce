import type { SolarArrayTraits } from './house.ts';
import { STEAM_KJ, WATER_KJ } from './water.ts';

/** Parts that each collector is cut into along the flow. */
const PARTS = 3;
const BOILS_C = 100;

/**
 * Collectors in series, each in parts that hold water and metal at one temperature.
 *
 * Without flow in sun the water boils at 100 °C, its steam is gone, and what is dry goes on to its
 * standstill temperature; the next flow fills it up again, some of it boiling on the hot metal.
 * Each step is implicit, so that a part may be flushed many times in it. Nothing freezes.
 */
export class SolarArray {
  /** Of each part, the first in the direction of flow first [°C]. */
  readonly partC: Float64Array;
  private readonly waterKg: Float64Array;
  private readonly traits: SolarArrayTraits;
  private readonly partM2: number;
  private readonly fullKg: number;
  private readonly dryKJPerK: number;
  /** What the last step took in, gave off and vented [kJ], and what came out of it. */
  readonly last = { sunKJ: 0, lossKJ: 0, ventedKJ: 0, ventedKg: 0, outKg: 0, outC: 0 };

  constructor(traits: SolarArrayTraits, startC: number) {
    const parts = PARTS * traits.count;
    this.traits = traits;
    this.partM2 = traits.areaM2 / PARTS;
    this.fullKg = this.partM2 * traits.waterKgPerM2;
    this.dryKJPerK = this.partM2 * traits.dryKJPerM2K;
    this.partC = new Float64Array(parts).fill(startC);
    this.waterKg = new Float64Array(parts).fill(this.fullKg);
  }

  /**
   * One step.
   *
   * @param takenWm2  light that counts for eta0
   * @param kg  water that comes in during the step, at `inC`; backwards where `reverse`
   * @param blind  number of a collector that takes no light, from 1; 0: none
   */
  advance(
    seconds: number,
    takenWm2: number,
    air: { airC: number; skyC: number },
    flow: { kg: number; inC: number; reverse: boolean },
    blind: number,
  ): void {
    const { last, partC } = this;
    Object.assign(last, { sunKJ: 0, lossKJ: 0, ventedKJ: 0, ventedKg: 0 });
    let [kg, waterC] = [flow.kg, flow.inC];
    for (let n = 0; n < partC.length; n++) {
      const part = flow.reverse ? partC.length - 1 - n : n;
      const blinded = blind > 0 && Math.floor(part / PARTS) === blind - 1;
      kg = this.part(part, seconds, blinded ? 0.03 * takenWm2 : takenWm2, air, kg, waterC);
      waterC = partC[part]!;
    }
    last.outKg = kg;
    last.outC = waterC;
  }

  /** @returns how much water it passes on [kg], at its own new temperature */
  private part(
    i: number,
    seconds: number,
    takenWm2: number,
    { airC, skyC }: { airC: number; skyC: number },
    inKg: number,
    inC: number,
  ): number {
    const { last, partM2, traits } = this;
    const before = this.partC[i]!;
    const heldKJPerK = this.dryKJPerK + this.waterKg[i]! * WATER_KJ;
    const lossW = partM2 * (traits.a1 + traits.a2 * Math.abs(before - airC)); // per K
    const sunKJ = (partM2 * traits.eta0 * takenWm2 * seconds) / 1000;
    const skyKJ = (partM2 * traits.skyWPerM2K * (airC - skyC) * seconds) / 1000;
    const lossKJPerK = (lossW * seconds) / 1000;
    const after =
      (heldKJPerK * before + inKg * WATER_KJ * inC + sunKJ - skyKJ + lossKJPerK * airC) /
      (heldKJPerK + inKg * WATER_KJ + lossKJPerK);
    last.sunKJ += sunKJ;
    last.lossKJ += lossKJPerK * (after - airC) + skyKJ;
    const { kg, waterC } = this.boiled(this.waterKg[i]! + inKg, after);
    this.partC[i] = waterC;
    this.waterKg[i] = Math.min(kg, this.fullKg);
    return kg - this.waterKg[i]!;
  }

  /** What is left of some water in a part, and how warm, when what boils has gone. */
  private boiled(kg: number, waterC: number): { kg: number; waterC: number } {
    if (waterC <= BOILS_C || kg === 0) return { kg, waterC };
    const { last } = this;
    const tooMuchKJ = (this.dryKJPerK + kg * WATER_KJ) * (waterC - BOILS_C);
    const steamKg = Math.min(kg, tooMuchKJ / STEAM_KJ);
    const left = kg - steamKg;
    last.ventedKg += steamKg;
    last.ventedKJ += steamKg * (STEAM_KJ + BOILS_C * WATER_KJ);
    const stillKJ = tooMuchKJ - steamKg * STEAM_KJ;
    return { kg: left, waterC: BOILS_C + stillKJ / (this.dryKJPerK + left * WATER_KJ) };
  }

  /** At the outlet of collector n, from 1 [°C]. */
  outletC = (n: number): number => this.partC[n * PARTS - 1]!;

  /** At the hot end of the last collector [°C]. */
  get endC(): number {
    return this.partC[this.partC.length - 1]!;
  }

  /** Heat above 0 °C [kJ]. */
  get heldKJ(): number {
    let sum = 0;
    this.partC.forEach((c, i) => {
      sum += (this.dryKJPerK + this.waterKg[i]! * WATER_KJ) * c;
    });
    return sum;
  }
}
