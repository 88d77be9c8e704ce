import type { Learned } from './learned.ts';
import { bothBases, plus, type Quarter } from './ledger.ts';
import type { MeteredHeat } from './metered-heat.ts';
import { MINUTE } from './readings.ts';

/**
 * A quarter's heat as it is told: as metered where the loop was metered, and where it was not, from the
 * collectors' and the tub's temperature, the pump and the flow in use. What the pipe's standing water
 * took at a start comes off once.
 */
export function toldHeat(quarter: Quarter, learned: Learned): MeteredHeat {
  const unmeteredMs = quarter.driveMs - quarter.coveredMs;
  if (quarter.driveKwhMinPerL === null || unmeteredMs < MINUTE) return quarter;
  const share = unmeteredMs / quarter.driveMs;
  const flow = learned.flowLPerMin;
  const standing = learned.standingLitres;
  const standingKwh = standing.value * quarter.standingKwhPerL;
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
        Math.hypot(
          flow.uncertainty * quarter.driveKwhMinPerL,
          standing.uncertainty * quarter.standingKwhPerL,
        ),
    litres: quarter.litres,
  };
}
