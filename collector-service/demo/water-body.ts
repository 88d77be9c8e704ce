import { demoTub } from './place.ts';
import { density, waterHeat } from './water.ts';

const halfKg = (demoTub.tub.litres * density(demoTub.tub.targetC)) / 2;
const halfJPerK = halfKg * waterHeat;
const topShare = 0.7; // of the covered losses go through the cover

/** What acts on the tub's water during one step. */
export interface TubStep {
  seconds: number;
  airC: number;
  /** Loop water that comes back, and how warm. */
  returnKg: number;
  returnC: number;
  /** Heat of the backup, the filter pump and bathers [W]. */
  heatW: number;
  /** Loss of the open surface [W/K]; 0 with the cover shut. */
  openWPerK: number;
  /** Cold water that takes the place of what was splashed out [kg]. */
  topUpKg: number;
  topUpC: number;
  /** A pump or people move the water. */
  stirred: boolean;
}

/** The tub's water in two layers: still water keeps a warm top, moving water mixes within minutes. */
export class WaterBody {
  private upperC: number;
  private lowerC: number;
  /** What the last step lost to the air, and what cold water took [J]. */
  lostJ = 0;
  toppedUpJ = 0;

  constructor(startC: number) {
    this.upperC = startC;
    this.lowerC = startC;
  }

  step(given: TubStep): void {
    const { seconds, airC } = given;
    const covered = demoTub.tub.lossWPerK * seconds;
    const upperLost = (topShare * covered + given.openWPerK * seconds) * (this.upperC - airC);
    const lowerLost = (1 - topShare) * covered * (this.lowerC - airC);
    this.lostJ = upperLost + lowerLost;
    this.toppedUpJ = given.topUpKg * waterHeat * (this.upperC - given.topUpC);
    const carried = given.returnKg * waterHeat;
    const upperIn = carried * (given.returnC - this.upperC);
    const lowerIn = carried * (this.upperC - this.lowerC);
    const heat = (given.heatW * seconds) / 2;
    this.upperC += (upperIn + heat - upperLost - this.toppedUpJ) / halfJPerK;
    this.lowerC += (lowerIn + heat - lowerLost) / halfJPerK;
    this.mix(seconds, given.stirred);
  }

  private mix(seconds: number, stirred: boolean): void {
    const above = this.upperC - this.lowerC;
    // Colder water on top sinks by itself.
    const within = stirred ? 240 : above < 0 ? 60 : 3600;
    const moved = (above / 2) * (1 - Math.exp(-seconds / within));
    this.upperC -= moved;
    this.lowerC += moved;
  }

  /** Half-way down, where the sensor sits. */
  get middleC(): number {
    return (this.upperC + this.lowerC) / 2;
  }
  /** Near the floor, where the loop draws. */
  get drawC(): number {
    return this.lowerC;
  }
  /** Heat in the water above 0 °C [J]. */
  get storedJ(): number {
    return halfJPerK * (this.upperC + this.lowerC);
  }
}
