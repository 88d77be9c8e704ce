import type { BalanceHour } from './balance-hours.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/** A day's metered heat over what the tub itself says came. */
export interface MeterCheck {
  ratio: number;
  /**
   * Standard uncertainty of what differs from day to day. The tub's litres and the sun on its cover are
   * the same error in all of them: by the meter's own first days they fall out.
   */
  uncertainty: number;
}

const LEAST_RISE_K = 1;
/** An hour's rise is known to this: steps, noise, uneven mixing. [K] */
const RISE_UNCERTAINTY_K = 0.05;
const LEAST_DRIVE = 0.01; // kWh at 1 l/min: less is a pump at rest
/** A day on which nothing of the balance can be believed. */
const MOST_UNCERTAIN = 0.25;

/**
 * The flow meter watched by the tub: what it says was brought over the undisturbed hours of a day in
 * which the loop ran, by what the water gained and lost in them. What was learned as the flow in use
 * takes no part in it, since that rests on the same balance.
 *
 * @param loss  of the covered tub, with its standard uncertainty [W/K]
 * @returns null where the tub rose by less than 1 K in such hours, or too little is sure
 */
export function meterCheckOf(
  hours: readonly BalanceHour[],
  loss: { value: number; uncertainty: number },
  settings: TubSettings,
): MeterCheck | null {
  const running = hours.filter(
    (hour) => hour.meteredKwh !== null && hour.driveKwhMinPerL > LEAST_DRIVE,
  );
  const sum = (of: (hour: BalanceHour) => number) =>
    running.reduce((total, hour) => total + of(hour), 0);
  const riseK = sum((hour) => hour.riseK);
  if (riseK < LEAST_RISE_K) return null;
  const kwhPerK = tubCapacityWhPerK(settings.tub.litres) / 1000;
  const lossKh = sum((hour) => hour.lossKh);
  const tubKwh = kwhPerK * riseK + (loss.value * lossKh) / 1000;
  const ratio = sum((hour) => hour.meteredKwh!) / tubKwh;
  const uncertainty =
    (Math.abs(ratio) *
      Math.hypot(
        kwhPerK * RISE_UNCERTAINTY_K * Math.sqrt(running.length),
        (loss.uncertainty * lossKh) / 1000,
      )) /
    tubKwh;
  return uncertainty <= MOST_UNCERTAIN ? { ratio, uncertainty } : null;
}
