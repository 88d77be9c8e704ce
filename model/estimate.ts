import type { Learned } from './learned.ts';
import { bothBases, plus, type Quarter } from './ledger.ts';
import type { MeteredHeat } from './metered-heat.ts';
import { MINUTE } from './readings.ts';
import { returnPipeLitres } from './return-pipe.ts';
import type { TubSettings } from './tub-settings.ts';

/** How far the water that stood in the pipe at a start is known, relative, k = 1. */
const STANDING_UNCERTAINTY = 0.5;

/**
 * A quarter's heat as it is told: as metered where the loop was metered, and where it was not, from the
 * collectors' and the tub's temperature, the pump and the flow in use. What the pipe's standing water
 * took at a start comes off once.
 */
export function toldHeat(quarter: Quarter, learned: Learned, settings: TubSettings): MeteredHeat {
  const unmeteredMs = quarter.driveMs - quarter.coveredMs;
  if (quarter.driveKwhMinPerL === null || unmeteredMs < MINUTE) return quarter;
  const share = unmeteredMs / quarter.driveMs;
  const flow = learned.flowLPerMin;
  const standingKwh = returnPipeLitres(settings) * quarter.standingKwhPerL;
  const kwh = share * (flow.value * quarter.driveKwhMinPerL - standingKwh);
  const gain = plus(quarter.gainKwh, Math.max(0, kwh));
  return {
    gainKwh: gain,
    lostKwh: plus(quarter.lostKwh, Math.max(0, -kwh)),
    measuredKwh: quarter.measuredKwh ?? 0,
    basis: bothBases(quarter.basis, 'estimated'),
    coveredMs: quarter.driveMs,
    flowUncertaintyKwh: quarter.flowUncertaintyKwh,
    pairUncertaintyKwh: quarter.pairUncertaintyKwh,
    lossUncertaintyKwh:
      quarter.lossUncertaintyKwh +
      share *
        Math.hypot(flow.uncertainty * quarter.driveKwhMinPerL, STANDING_UNCERTAINTY * standingKwh),
    litres: quarter.litres,
  };
}
