import { drift } from './chance.ts';
import { CollectorRow } from './collector-row.ts';
import { BackupThermostat, DifferenceController } from './controllers.ts';
import { doingsAt } from './household.ts';
import { Pipe } from './pipe.ts';
import { demoTub } from './place.ts';
import { type Plant, Senses } from './sensors.ts';
import { type Weather, weatherAt } from './sky.ts';
import { density, waterHeat } from './water.ts';
import { WaterBody } from './water-body.ts';

export const stepMs = 10_000;
const stepS = stepMs / 1000;
const kwh = 1 / 3.6e6; // from J

const demoSeed = 6;
const flowChannel = 21;
const windChannel = 22;
const pipe = { innerMm: 16, lossWPerMK: 0.22 } as const;
const filterW = 40; // of the filter pump's power ends in the water
const batherW = 100;
const openWPerK = 165; // an open surface of 4 m² with bathers in it, in a light wind
const splashLPerMin = 0.28; // splashed and evaporated while people bathe
const hoseLPerMin = 5;
const hoseC = 14;
const topUpFromL = 50; // missing water that somebody notices
const levelSwitchL = 80;

/** Something that goes wrong from one instant to another [ms since 1970-01-01 UTC]. */
export interface LoopEvent {
  what: 'pump-dead';
  from: number;
  to: number;
}

/** What truly happened since the start, for tests to compare with [kWh]. */
export interface Truth {
  /** From the sun into the collectors' water, less what went back to the air. */
  collectedKwh: number;
  ventedKwh: number;
  pipesLostKwh: number;
  /** Heat delivered to the tub, and heat carried out of it; both positive. */
  gainKwh: number;
  lostKwh: number;
  backupKwh: number;
  /** From the filter pump and bathers. */
  warmedKwh: number;
  tubLostKwh: number;
  toppedUpKwh: number;
}

export interface LoopStart {
  /** The same seed and start give the same loop at any later instant. */
  seed?: number;
  /** [ms since 1970-01-01 UTC]; the loop starts on the full minute at or before it. */
  from: number;
  events?: readonly LoopEvent[];
}

/**
 * The simulated loop at Kōwhai Terrace: sun and clouds, collectors in series, pipes with their transit
 * time, pump and controller, a tub in two layers with cover, baths and backup, and sensors that lag and
 * jitter. It goes forward in steps of ten seconds and in no other way.
 *
 * Simplified: one specific heat for all water; steam from collectors that stand in the sun is vented at
 * 100 °C and its water comes back at once; nothing freezes.
 */
export class Loop {
  /** The instant of the present state [ms since 1970-01-01 UTC]. */
  at: number;
  readonly truth: Truth = {
    collectedKwh: 0,
    ventedKwh: 0,
    pipesLostKwh: 0,
    gainKwh: 0,
    lostKwh: 0,
    backupKwh: 0,
    warmedKwh: 0,
    tubLostKwh: 0,
    toppedUpKwh: 0,
  };
  private readonly seed: number;
  private readonly events: readonly LoopEvent[];
  private readonly row: CollectorRow;
  private readonly outward: Pipe;
  private readonly homeward: Pipe;
  private readonly water = new WaterBody(37);
  private readonly controller = new DifferenceController();
  private readonly thermostat = new BackupThermostat();
  private missingL = 0;
  private toppingUp = false;
  private readonly plant: Plant;
  private readonly senses: Senses;

  constructor({ seed = demoSeed, from, events = [] }: LoopStart) {
    this.at = Math.floor(from / 60_000) * 60_000;
    this.seed = seed;
    this.events = events;
    const { airC } = weatherAt(seed, this.at);
    this.row = new CollectorRow(airC);
    const length = demoTub.loop.pipeMetres / 2;
    this.outward = new Pipe(length, pipe.innerMm, pipe.lossWPerMK, airC);
    this.homeward = new Pipe(length, pipe.innerMm, pipe.lossWPerMK, airC);
    this.plant = {
      tubC: this.water.middleC,
      coverOpen: false,
      levelEnough: true,
      collectorsC: this.row.tempC,
      inletC: airC,
      outletC: airC,
      planeWm2: 0,
      airC,
      pumpAsked: false,
      pumpRuns: false,
      flowLPerMin: 0,
      litres: 0,
      backupW: 0,
      backupKwh: 0,
      filterRuns: false,
    };
    this.senses = new Senses(this.plant, stepS);
  }

  /** Goes forward to the last whole step at or before `t`; an earlier `t` changes nothing. */
  advanceTo(t: number): void {
    while (this.at + stepMs <= t) this.step();
  }

  step(): void {
    const weather = weatherAt(this.seed, this.at + stepMs / 2);
    this.plant.airC = weather.airC;
    this.plant.planeWm2 = weather.planeWm2;
    this.switchPump();
    const loopWater = this.goRound(weather);
    this.stepTub(weather, loopWater);
    this.at += stepMs;
    this.senses.follow(this.plant);
  }

  private switchPump(): void {
    const { plant } = this;
    this.controller.decide(this.row.outletC, this.water.middleC, stepS);
    plant.pumpAsked = this.controller.asks;
    plant.pumpRuns = plant.pumpAsked && !this.happens('pump-dead');
    const wander = 0.03 * (drift(this.seed, flowChannel, this.at / 1.2e6) - 0.5);
    plant.flowLPerMin = plant.pumpRuns ? demoTub.loop.flowLPerMin * (1 + wander) : 0;
  }

  private happens(what: LoopEvent['what']): boolean {
    return this.events.some((event) => {
      return event.what === what && event.from <= this.at && this.at < event.to;
    });
  }

  /** Water through pipes and collectors for one step; gives what comes back to the tub. */
  private goRound(weather: Weather): { kg: number; tempC: number } {
    const { plant, truth, row, outward, homeward } = this;
    const litres = (plant.flowLPerMin * stepS) / 60;
    const drawC = this.water.drawC;
    const kg = litres * density(drawC);
    const lost = outward.cool(weather.airC, stepS) + homeward.cool(weather.airC, stepS);
    truth.pipesLostKwh += lost * kwh;
    let tempC = drawC;
    if (kg > 0) {
      const outC = row.step(weather, kg, outward.push(kg, drawC), stepS);
      tempC = homeward.push(kg, outC);
    } else row.step(weather, 0, 0, stepS);
    truth.collectedKwh += row.collectedJ * kwh;
    truth.ventedKwh += row.ventedJ * kwh;
    const delivered = kg * waterHeat * (tempC - drawC) * kwh;
    truth.gainKwh += Math.max(0, delivered);
    truth.lostKwh += Math.max(0, -delivered);
    plant.litres += litres;
    plant.inletC = outward.inletC;
    plant.outletC = kg > 0 ? tempC : homeward.outletC;
    return { kg, tempC };
  }

  private stepTub(weather: Weather, loopWater: { kg: number; tempC: number }): void {
    const { plant, truth, water } = this;
    const { bathers, filterRuns, backupAllowed } = doingsAt(this.seed, this.at);
    const hoseL = this.refill(bathers);
    this.thermostat.decide(water.middleC, backupAllowed);
    plant.backupW = this.thermostat.heats ? demoTub.backup.watts : 0;
    plant.backupKwh += plant.backupW * stepS * kwh;
    plant.filterRuns = filterRuns;
    plant.coverOpen = bathers > 0 || this.toppingUp;
    const warmingW = bathers * batherW + (filterRuns ? filterW : 0);
    const wind = 0.7 + 0.6 * drift(this.seed, windChannel, this.at / 1.8e6);
    water.step({
      seconds: stepS,
      airC: weather.airC,
      returnKg: loopWater.kg,
      returnC: loopWater.tempC,
      heatW: plant.backupW + warmingW,
      openWPerK: plant.coverOpen ? openWPerK * wind : 0,
      topUpKg: hoseL * density(hoseC),
      topUpC: hoseC,
      stirred: plant.pumpRuns || filterRuns || plant.backupW > 0 || plant.coverOpen,
    });
    plant.tubC = water.middleC;
    truth.backupKwh += plant.backupW * stepS * kwh;
    truth.warmedKwh += warmingW * stepS * kwh;
    truth.tubLostKwh += water.lostJ * kwh;
    truth.toppedUpKwh += water.toppedUpJ * kwh;
  }

  /** Water that bathers splash out, and the hose after the bath that makes it noticed [l a step]. */
  private refill(bathers: number): number {
    const bathed = this.plant.coverOpen && !this.toppingUp;
    if (bathers > 0) this.missingL += (splashLPerMin * stepS) / 60;
    else if (bathed && this.missingL >= topUpFromL) this.toppingUp = true;
    const hoseL = this.toppingUp ? Math.min(this.missingL, (hoseLPerMin * stepS) / 60) : 0;
    this.missingL -= hoseL;
    if (this.missingL <= 0) this.toppingUp = false;
    this.plant.levelEnough = this.missingL < levelSwitchL;
    return hoseL;
  }

  /** What the sensors say at this instant, in the order of `demoPoints`. */
  read(): Float64Array {
    return this.senses.read(this.seed, this.at / stepMs);
  }

  /** Heat above 0 °C in the tub, and in collectors and pipes [kWh]. */
  get tubKwh(): number {
    return this.water.storedJ * kwh;
  }
  get loopKwh(): number {
    return (this.row.storedJ + this.outward.storedJ + this.homeward.storedJ) * kwh;
  }
}
