import type { House } from './house.ts';
import type { Plant } from './plant.ts';
import { STEP_S } from './plant.ts';
import type { TrueDay, TrueMonth, TrueNight, TrueQuarter, TrueSums } from './truth.ts';
import type { TubSums } from './tub-body.ts';

const QUARTER = 900_000; // ms
const KWH = 1 / 3600; // from kJ
const WS_KWH = 1 / 3.6e6; // from W·s

/** What piles up within one span. */
class Pile {
  gainKJ = 0;
  lostKJ = 0;
  litres = 0;
  turnS = 0;
  starts = 0;
  pumpWs = 0;
  backupWs = 0;
  twinBackupWs = 0;
  sunWs = 0;
  tubCs = 0;
  airCs = 0;
  twinCs = 0;
  seconds = 0;
  lowC = Number.POSITIVE_INFINITY;
  highC = Number.NEGATIVE_INFINITY;
  private readonly tubBefore: TubSums;
  private readonly twinBefore: TubSums;

  constructor(plant: Plant) {
    this.tubBefore = { ...plant.tub.sums };
    this.twinBefore = { ...plant.twin.sums };
  }

  add(plant: Plant, started: boolean): void {
    const { moment } = plant;
    const tubC = plant.tub.meanC;
    if (moment.loopKJ > 0) this.gainKJ += moment.loopKJ;
    else this.lostKJ -= moment.loopKJ;
    this.litres += moment.litres;
    if (moment.turns) this.turnS += STEP_S;
    if (started) this.starts++;
    this.pumpWs += moment.pumpW * STEP_S;
    this.backupWs += moment.backupW * STEP_S;
    this.twinBackupWs += moment.twinBackupW * STEP_S;
    this.sunWs += moment.planeWm2 * STEP_S;
    this.tubCs += tubC * STEP_S;
    this.airCs += moment.weather.airC * STEP_S;
    this.twinCs += plant.twin.meanC * STEP_S;
    this.seconds += STEP_S;
    if (tubC < this.lowC) this.lowC = tubC;
    if (tubC > this.highC) this.highC = tubC;
  }

  sums(plant: Plant, { pump }: House): TrueSums {
    const tub = difference(plant.tub.sums, this.tubBefore);
    const twin = difference(plant.twin.sums, this.twinBefore);
    const mains = pump.supply === 'mains' ? WS_KWH : 0;
    const pumpKwh = this.pumpWs * mains;
    const standbyKwh = pump.standbyWatts * this.seconds * mains;
    const [backupKwh, twinBackupKwh] = [this.backupWs * WS_KWH, this.twinBackupWs * WS_KWH];
    return {
      gainKwh: this.gainKJ * KWH,
      lostKwh: this.lostKJ * KWH,
      litres: this.litres,
      pumpHours: this.turnS / 3600,
      starts: this.starts,
      pumpKwh,
      standbyKwh,
      backupKwh,
      backupHeatKwh: tub.backupKJ * KWH,
      coveredLossKwh: tub.coveredLossKJ * KWH,
      openLossKwh: tub.openLossKJ * KWH,
      filterKwh: tub.filterKJ * KWH,
      bathersKwh: tub.bathersKJ * KWH,
      sunOnTubKwh: tub.sunKJ * KWH,
      waterKwh: tub.waterKJ * KWH,
      sunKwhPerM2: this.sunWs * WS_KWH,
      uaWPerK: tub.coveredKs > 0 ? (1000 * tub.coveredLossKJ) / tub.coveredKs : null,
      tubLowC: this.lowC,
      tubHighC: this.highC,
      tubMeanC: this.tubCs / this.seconds,
      airMeanC: this.airCs / this.seconds,
      tubEndC: plant.tub.meanC,
      twin: {
        backupKwh: twinBackupKwh,
        backupHeatKwh: twin.backupKJ * KWH,
        lossKwh: (twin.coveredLossKJ + twin.openLossKJ) * KWH,
        tubMeanC: this.twinCs / this.seconds,
        tubEndC: plant.twin.meanC,
      },
      savedKwh: twinBackupKwh - backupKwh - pumpKwh - standbyKwh,
    };
  }
}

function difference(now: TubSums, before: TubSums): TubSums {
  const left = { ...now };
  for (const key of Object.keys(left) as (keyof TubSums)[]) left[key] -= before[key];
  return left;
}

/** Keeps the truth by quarter, night, local day and month. */
export class Tally {
  readonly days: TrueDay[] = [];
  readonly months: TrueMonth[] = [];
  readonly quarters: TrueQuarter[] = [];
  readonly nights: TrueNight[] = [];
  private readonly plant: Plant;
  private readonly house: House;
  private readonly whole: Pile;
  private month: Pile;
  private monthDays = 0;
  private day: Pile;
  private quarter: Pile;
  private wasTurning = false;
  private night: { pile: Pile; from: number; touched: boolean } | null = null;
  private downSinceS = 0;

  constructor(plant: Plant, house: House) {
    this.plant = plant;
    this.house = house;
    this.whole = new Pile(plant);
    this.month = new Pile(plant);
    this.day = new Pile(plant);
    this.quarter = new Pile(plant);
  }

  add(): void {
    const { plant } = this;
    const { turns } = plant.moment;
    const started = turns && !this.wasTurning;
    this.wasTurning = turns;
    for (const pile of [this.whole, this.month, this.day, this.quarter]) pile.add(plant, started);
    this.watchNight(started);
    if (plant.moment.t % QUARTER === 0) this.endQuarter();
  }

  /** Ends a local day; `monthEnds` where the next one belongs to another month, or there is none. */
  endDay(date: string, monthEnds: boolean): void {
    const { plant, house } = this;
    this.days.push({ date, ...this.day.sums(plant, house) });
    this.day = new Pile(plant);
    this.monthDays++;
    if (!monthEnds) return;
    const sums = this.month.sums(plant, house);
    this.months.push({ month: date.slice(0, 7), days: this.monthDays, ...sums });
    this.month = new Pile(plant);
    this.monthDays = 0;
  }

  total = (): TrueSums => this.whole.sums(this.plant, this.house);

  private endQuarter(): void {
    const { plant, quarter } = this;
    this.quarters.push({
      from: plant.moment.t - 1000 * quarter.seconds,
      gainKwh: quarter.gainKJ * KWH,
      lostKwh: quarter.lostKJ * KWH,
      litres: quarter.litres,
      tubC: quarter.tubCs / quarter.seconds,
      airC: quarter.airCs / quarter.seconds,
    });
    this.quarter = new Pile(plant);
  }

  private watchNight(started: boolean): void {
    const { plant } = this;
    const { moment } = plant;
    const down = moment.weather.sun.sin < 0;
    this.downSinceS = down ? this.downSinceS + STEP_S : 0;
    if (!down && this.night) this.endNight();
    if (this.downSinceS < 2 * 3600) return;
    this.night ??= { pile: new Pile(plant), from: moment.t - 1000 * STEP_S, touched: false };
    this.night.pile.add(plant, started);
    const busy = moment.loopKJ !== 0 || moment.backupW > 0 || moment.filterOn || moment.coverOpen;
    if (busy) this.night.touched = true;
  }

  private endNight(): void {
    const { plant, night } = this;
    if (!night) return;
    this.night = null;
    const { uaWPerK } = night.pile.sums(plant, this.house);
    if (uaWPerK === null) return;
    const date = plant.clock.date(plant.moment.t);
    const { from, touched } = night;
    this.nights.push({ date, from, to: plant.moment.t, uaWPerK, quiet: !touched });
  }
}
