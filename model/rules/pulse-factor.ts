/** Between these a reading is off by 60: pulses per litre and Hz per l/min taken for one another. */
const SIXTY = { low: 40, high: 90 };

/**
 * By what a flow has to be divided, or multiplied where it is below 1, to be what is usual; null where
 * it is not off by such a mistake.
 */
export function pulseFactor(lPerMin: number, usualLPerMin: number): number | null {
  const times = lPerMin / usualLPerMin;
  if (times >= SIXTY.low && times <= SIXTY.high) return 60;
  return times > 0 && 1 / times >= SIXTY.low && 1 / times <= SIXTY.high ? 1 / 60 : null;
}
