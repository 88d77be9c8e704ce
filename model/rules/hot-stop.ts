import type { Minute } from '../minutes/minute.ts';
import { HOUR } from '../readings.ts';

/** So far above its switch-off difference a controller stops the pump only on purpose, or it died. [K] */
const ABOVE_OFF_K = 3;
/** A controller that rests at a limit starts again when the tub has cooled by so much at the latest. [K] */
const RESTS_WITHIN_K = 1.5;
/** A limit is not set so far below the one of the set-up. [K] */
const BELOW_LIMIT_K = 3;
/** Water in layers and sensors that lag: the pump may once have run so much warmer. [K] */
const SPREAD_K = 0.6;
const RESTS_MS = 24 * HOUR;

/** The last stop with hot collectors, if the pump has stood since. Plain data. */
export interface HotStop {
  at: number; // ms
  /** Tub at the stop [°C]; null where there was none, or the pump ran again. */
  tubC: number | null;
  /** Warmest tub with which the pump was seen to run on [°C]. */
  ranC: number | null;
}

export const noHotStop = (): HotStop => ({ at: 0, tubC: null, ranC: null });

/** To be told of every minute. */
export function seeHotStop(stop: HotStop, minute: Minute): void {
  const { states, tubC, settings } = minute;
  if (tubC === null || states.pumpOn === null) return;
  if (states.pumpOn) {
    stop.tubC = null;
    if (!states.settling) stop.ranC = Math.max(stop.ranC ?? tubC, tubC);
  } else if (states.pumpMinutes <= 1) {
    const collectorC = minute.ago('collectorC', 1);
    if (collectorC === null || collectorC - tubC < settings.controller.switchOffK + ABOVE_OFF_K)
      return;
    [stop.at, stop.tubC] = [minute.t, tubC];
  }
}

/**
 * Whether the pump may rest at a limit that nobody told of and that is not learned yet: it stopped with
 * hot collectors at a tub as warm as it was never seen to run with, and the tub has hardly cooled since.
 */
export function mayRest(stop: HotStop, { t, tubC, usual, settings }: Minute): boolean {
  if (stop.tubC === null || tubC === null) return false;
  const ranC = Math.max(stop.ranC ?? stop.tubC, usual.highestStartC ?? stop.tubC);
  return (
    t - stop.at < RESTS_MS &&
    tubC > stop.tubC - RESTS_WITHIN_K &&
    tubC > settings.tub.limitC - BELOW_LIMIT_K &&
    stop.tubC > ranC - SPREAD_K
  );
}
