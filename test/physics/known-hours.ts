import type { BalanceHour } from '../../model/balance-hours.ts';
import { returnPipeLitres } from '../../model/return-pipe.ts';
import { tubCapacityWhPerK } from '../../model/tub-losses.ts';
import { always } from './traces.ts';

/** Settings of a tub of 1000 l. */
export const ofThousandLitres = always({ tub: { litres: 1000 } })[0]!.settings;
const kwhPerK = tubCapacityWhPerK(1000) / 1000;

export interface World {
  flowLPerMin: number;
  lossWPerK: number;
  sunM2: number;
  filterW: number;
  noiseK: number;
  seed: number;
  /** What each start costs; what the pipe's length tells if not given. */
  standingLitres?: number;
  /** In every hour with the pump running; if not given, one in half of them. */
  startsPerHour?: number;
}

/** Three weeks of hours of a tub whose flow, loss and filter pump are known. */
export function hoursOf(world: World): BalanceHour[] {
  let state = world.seed;
  const chance = () => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return state / 2147483648;
  };
  const litres = world.standingLitres ?? returnPipeLitres(ofThousandLitres);
  const hours: BalanceHour[] = [];
  for (let day = 0; day < 21; day++) {
    const clear = chance();
    for (let hour = 0; hour < 24; hour++) {
      const sun = Math.max(0, Math.sin((Math.PI * (hour - 6)) / 12)) * clear;
      const runs = sun > 0.25 && chance() > 0.15;
      const drive = runs ? 0.35 * sun : 0;
      const starts = world.startsPerHour ?? (chance() > 0.5 ? 1 : 0);
      const standing = runs ? 0.03 * starts : 0;
      const lossKh = 24 + 3 * chance();
      const filter = hour === 9 || hour === 10 ? world.filterW : 0;
      const kwh =
        world.flowLPerMin * drive -
        litres * standing -
        (world.lossWPerK * lossKh) / 1000 +
        world.sunM2 * sun +
        filter / 1000;
      const noise = world.noiseK * (chance() + chance() + chance() - 1.5) * 2;
      hours.push({
        hour,
        hours: 1,
        riseK: kwh / kwhPerK + noise,
        lossKh,
        dailyH: 0,
        driveKwhMinPerL: drive,
        standingKwhPerL: standing,
        sunKwhPerM2: sun,
        meteredKwh: null,
      });
    }
  }
  return hours;
}
