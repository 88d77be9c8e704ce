import { Chance } from './chance.ts';
import { Circuit } from './circuit.ts';
import { Backup, LoopController } from './controllers.ts';
import type { House } from './house.ts';
import { LocalClock, within } from './local-clock.ts';
import { People } from './people.ts';
import { Pump } from './pump.ts';
import { noTrouble, type Scene, type Trouble } from './trouble.ts';
import { TubBody } from './tub-body.ts';
import { kgPerL } from './water.ts';
import { type Weather, WeatherMaker } from './weather.ts';

export const STEP_S = 5;
const WEATHER_S = 10;

/** What the last step truly was; powers [W], heat [kJ]. */
export interface Moment {
  t: number; // at the end of the step
  weather: Weather;
  planeWm2: number;
  litres: number; // through the flow sensor
  loopKJ: number;
  asked: boolean;
  powered: boolean;
  turns: boolean;
  volts: number;
  pumpW: number;
  backupW: number;
  backupHeatW: number;
  twinBackupW: number;
  twinBackupHeatW: number;
  filterOn: boolean;
  coverOpen: boolean;
}

/**
 * One tub, its loop, and the twin of the tub that has no loop: the same weather, people, hose and
 * filter, and a backup of the same kind, from the same state at the moment of the parting.
 */
export class Plant {
  readonly circuit: Circuit;
  readonly tub: TubBody;
  twin: TubBody;
  readonly people: People;
  readonly clock: LocalClock;
  trouble: Trouble = noTrouble();
  readonly moment: Moment;
  private readonly house: House;
  private readonly weatherMaker: WeatherMaker;
  private readonly pump: Pump;
  private readonly controller: LoopController;
  private readonly backup: Backup;
  private twinBackup: Backup;
  private weatherLeftS = 0;
  private low = false;

  constructor(seed: number, house: House, t: number) {
    this.house = house;
    this.clock = new LocalClock(house.place.timeZone);
    this.weatherMaker = new WeatherMaker(seed, house, t);
    this.circuit = new Circuit(house, house.climate.meanC);
    const startC = house.backup.kind === 'none' ? 33 : house.backup.targetC - 1;
    this.tub = new TubBody(house.tub, startC);
    this.twin = this.tub.twin();
    this.people = new People(seed, house, this.clock);
    this.pump = new Pump(house.pump, new Chance(seed, 'pump'));
    this.controller = new LoopController(house.controller, startC);
    this.backup = new Backup(house.backup);
    this.twinBackup = new Backup(house.backup);
    this.moment = {
      t,
      weather: this.weatherMaker.advance(t, WEATHER_S),
      planeWm2: 0,
      litres: 0,
      loopKJ: 0,
      asked: false,
      powered: false,
      turns: false,
      volts: 0,
      pumpW: 0,
      backupW: 0,
      backupHeatW: 0,
      twinBackupW: 0,
      twinBackupHeatW: 0,
      filterOn: false,
      coverOpen: false,
    };
  }

  /** From here on the twin goes its own way. */
  part(): void {
    this.twin = this.tub.twin();
    this.twinBackup = new Backup(this.house.backup);
    this.twinBackup.heating = this.backup.heating;
  }

  step(): void {
    const { moment, trouble } = this;
    const t = moment.t;
    this.weatherLeftS -= STEP_S;
    if (this.weatherLeftS <= 0) {
      moment.weather = this.weatherMaker.advance(t, WEATHER_S);
      moment.weather.airC += trouble.airK;
      moment.weather.skyC += trouble.airK;
      this.weatherLeftS = WEATHER_S;
    }
    moment.planeWm2 = this.circuit.plane.light(moment.weather).allWm2;
    this.runLoop();
    this.runTubs(t);
    moment.t = t + 1000 * STEP_S;
  }

  private runLoop(): void {
    const { moment, trouble, tub, house } = this;
    const collectorC = this.circuit.array.endC;
    moment.asked = this.controller.advance(STEP_S, collectorC, tub.lowerC, trouble);
    const lPerMin = this.pump.advance(STEP_S, moment.asked, moment.planeWm2, trouble);
    moment.powered = this.pump.isPowered;
    moment.turns = this.pump.turns;
    moment.volts = this.pump.volts;
    moment.pumpW = this.pump.watts(trouble.pump.draws);
    const dark = moment.weather.globalWm2 === 0;
    const reverse = lPerMin === 0 && dark && trouble.siphonLPerMin > 0;
    const moves = reverse ? trouble.siphonLPerMin : lPerMin;
    const tubC = tub.drawnC(reverse);
    // The pump moves volume at the bottom of the inlet pipe.
    const kg = ((moves * STEP_S) / 60) * kgPerL(tubC);
    const step = this.circuit.advance(STEP_S, moment.weather, { kg, reverse, tubC }, trouble);
    tub.circulate(step.drawnKg, step.backKg, step.backC, reverse);
    moment.loopKJ = step.heatKJ;
    const atSensor =
      house.loop.flowSensorAt === 'inlet'
        ? step.drawnKg / kgPerL(tubC)
        : step.backKg / kgPerL(Math.min(99, step.backC));
    moment.litres = reverse ? 0 : atSensor;
  }

  private runTubs(t: number): void {
    const { moment, trouble, tub, twin, house } = this;
    const minute = this.clock.minute(t);
    const done = this.people.at(t, STEP_S, tub.missingKg);
    moment.coverOpen = done.coverOpen || trouble.coverOff;
    moment.filterOn = house.filter.spans.some((span) => within(minute, span));
    const { airC } = moment.weather;
    const real = this.backup.advance(tub.meanC, minute, airC, trouble);
    const other = this.twinBackup.advance(twin.meanC, minute, airC, trouble);
    [moment.backupW, moment.backupHeatW] = [real.watts, real.heatW];
    [moment.twinBackupW, moment.twinBackupHeatW] = [other.watts, other.heatW];
    for (const [body, heatW] of [
      [tub, real.heatW],
      [twin, other.heatW],
    ] as const) {
      if (heatW > 0) body.heat((heatW * STEP_S) / 1000);
      const stirred = moment.filterOn || heatW > 0 || done.bathers > 0 || done.hoseKg > 0;
      const doings = {
        coverOpen: moment.coverOpen,
        batherW: done.batherW,
        filterW: moment.filterOn ? house.filter.heatW : 0,
        stirred,
        hoseKg: done.hoseKg,
        carriedKg: done.carriedKg,
        leakKg: (trouble.leakLPerH * STEP_S) / 3600,
        lossFactor: trouble.tubLoss,
      };
      body.advance(STEP_S, moment.weather, doings, body === tub && moment.litres > 0);
    }
  }

  /** What `pump/running` stands for in this house. */
  toldRunning(): number {
    const { moment, house } = this;
    const { stateIs } = house.pump;
    const on =
      stateIs === 'asked' ? moment.asked : stateIs === 'powered' ? moment.powered : moment.turns;
    return on ? 1 : 0;
  }

  /** The level switch; it lets go again only when a few litres more are there. */
  levelLow(): boolean {
    const { levelLowL } = this.house.instruments;
    const missing = this.tub.missingKg;
    if (missing > levelLowL) this.low = true;
    else if (missing < levelLowL - 8) this.low = false;
    return this.low;
  }

  /** What sensors can feel just now. */
  scene(tubHeight: number): Scene {
    const { circuit, moment, house } = this;
    return {
      t: moment.t,
      tubC: this.tub.atC(tubHeight),
      collectorC: circuit.array.endC,
      eachC: Array.from({ length: house.array.count }, (_, i) => circuit.array.outletC(i + 1)),
      inletC: circuit.inletC,
      outletC: circuit.outletC,
      airC: moment.weather.airC,
      planeWm2: moment.planeWm2,
      globalWm2: moment.weather.globalWm2,
      sunAzimuthDeg: moment.weather.sun.azimuthDeg,
    };
  }
}
