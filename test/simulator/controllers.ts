import type { BackupTraits, ControllerTraits, MinuteSpan } from './house.ts';
import { within } from './local-clock.ts';
import type { Trouble } from './trouble.ts';

const FREEZE = { onC: 4, offC: 7 };

/** The loop's own controller, with its own two sensors. */
export class LoopController {
  asks = false;
  private readonly traits: ControllerTraits;
  private collectorC: number;
  private tubC: number;
  private sinceS = Number.POSITIVE_INFINITY;
  private full = false;
  private freezing = false;

  constructor(traits: ControllerTraits, startC: number) {
    this.traits = traits;
    this.collectorC = startC;
    this.tubC = startC;
  }

  advance(seconds: number, collectorC: number, tubC: number, { controller }: Trouble): boolean {
    const { traits } = this;
    const towards = 1 - Math.exp(-seconds / traits.lagS);
    this.collectorC += (collectorC - this.collectorC) * towards;
    this.tubC += (tubC - this.tubC) * towards;
    this.sinceS += seconds;
    const readsC = this.collectorC + traits.collectorOffsetK + controller.collectorK;
    const tubReadsC = this.tubC + traits.tubOffsetK;
    const limitC = traits.limitC + controller.limitK;
    if (tubReadsC >= limitC) this.full = true;
    else if (tubReadsC < limitC - traits.limitBandK) this.full = false;
    if (readsC < FREEZE.onC) this.freezing = traits.freezeRun;
    else if (readsC > FREEZE.offC) this.freezing = false;
    const wanted = this.freezing || this.worth(readsC - tubReadsC, controller);
    const leastS = 60 * (this.asks ? traits.runAtLeastMin : traits.restAtLeastMin);
    if (controller.mute) this.turn(false);
    else if (wanted !== this.asks && (this.sinceS >= leastS || this.full)) this.turn(wanted);
    return this.asks;
  }

  private worth(differenceK: number, told: Trouble['controller']): boolean {
    if (this.full) return false;
    const threshold = this.asks ? (told.offK ?? this.traits.offK) : (told.onK ?? this.traits.onK);
    return differenceK >= threshold;
  }

  private turn(asks: boolean): void {
    if (asks === this.asks) return;
    this.asks = asks;
    this.sinceS = 0;
  }
}

/** A thermostat with the hours in which it may heat; real tub and twin have one each. */
export class Backup {
  heating = false;
  /** Its own high limit, apart from the thermostat, has cut it off. */
  private isCutOff = false;
  private readonly traits: BackupTraits;

  constructor(traits: BackupTraits) {
    this.traits = traits;
  }

  /** @returns electricity drawn and heat given just now [W] */
  advance(
    waterC: number,
    minute: number,
    airC: number,
    { backup }: Trouble,
  ): { watts: number; heatW: number } {
    const { traits } = this;
    if (traits.kind === 'none') return nothing;
    const readsC = waterC + traits.offsetK;
    const targetC = traits.targetC + backup.targetK;
    if (readsC >= targetC) this.heating = false;
    else if (readsC < targetC - traits.bandK) this.heating = true;
    const allowed = mayHeat(backup.spans ?? traits.spans, minute);
    if (waterC >= HIGH_LIMIT.cutsOffC) this.isCutOff = true;
    else if (waterC < HIGH_LIMIT.resetsC) this.isCutOff = false;
    const on = backup.neverStops || (this.heating && allowed);
    if (!on || !backup.draws || this.isCutOff) return nothing;
    const heats = backup.heats ? 1 : 0;
    if (traits.kind === 'electric') return { watts: traits.watts, heatW: traits.watts * heats };
    return { watts: traits.watts / this.cop(airC), heatW: traits.watts * heats };
  }

  private cop(airC: number): number {
    return Math.min(6, Math.max(1.6, this.traits.cop7 + this.traits.copPerK * (airC - 7)));
  }
}

/** Without it a heater that never stops would boil the tub. */
const HIGH_LIMIT = { cutsOffC: 50, resetsC: 43 };
const nothing = { watts: 0, heatW: 0 };

const mayHeat = (spans: readonly MinuteSpan[], minute: number): boolean =>
  spans.length === 0 || spans.some((span) => within(minute, span));
