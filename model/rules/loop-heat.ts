import { loopPowerW } from '../expected.ts';
import type { Minute } from '../minutes/minute.ts';
import type { Usual } from '../minutes/usual.ts';

/** Shares of a clear sky's beam and diffuse light, as the whole is split near noon. */
const BEAM_SHARE = 0.85;

/**
 * Heat that the loop could bring just now by the sun there is, or by a clear sky where no sensor tells
 * [W]; 0 where it could bring none.
 */
export function loopHeatW(minute: Minute, usual: Usual): number {
  const sun = minute.sunWPerM2 ?? minute.clearWPerM2;
  if (minute.tubC === null || !(sun > 0)) return 0;
  const plane = {
    beam: BEAM_SHARE * sun,
    diffuse: (1 - BEAM_SHARE) * sun,
    incidence: Math.min(89, minute.incidenceDeg),
  };
  const airC = minute.airC ?? minute.tubC - 20;
  return Math.max(0, loopPowerW(plane, minute.tubC, airC, usual.lPerMin, minute.settings));
}
