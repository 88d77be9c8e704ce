import { demoTub } from './place.ts';

/** The two controllers of the demonstration; neither is Sunsteep's, which switches nothing. */

const { switchOnK, switchOffK } = demoTub.controller;
const { limitC, targetC } = demoTub.tub;
const limitBandK = 1;
/** Long enough for the water to go round twice, so that one cold pipe does not stop the pump. */
const shortestRunS = 240;

/** Asks for the pump by the difference between collectors and tub, until the tub is warm enough. */
export class DifferenceController {
  asks = false;
  private atLimit = false;
  private askedS = 0;

  decide(collectorC: number, tubC: number, seconds: number): void {
    this.atLimit = tubC >= (this.atLimit ? limitC - limitBandK : limitC);
    const enoughK = this.asks ? switchOffK : switchOnK;
    const justBegun = this.asks && this.askedS < shortestRunS;
    this.asks = !this.atLimit && (justBegun || collectorC - tubC >= enoughK);
    this.askedS = this.asks ? this.askedS + seconds : 0;
  }
}

/** Holds the tub at its target in the hours that the backup is given. */
export class BackupThermostat {
  heats = false;

  decide(tubC: number, allowed: boolean): void {
    this.heats = allowed && tubC < targetC + (this.heats ? 0.1 : -0.3);
  }
}
