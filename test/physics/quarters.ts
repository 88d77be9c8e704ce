import type { Learned } from '../../model/learned.ts';
import type { Quarter } from '../../model/ledger.ts';
import { QUARTER } from '../../model/readings.ts';

/** A quarter hour in which the tub was heard at 38 °C, the air at 12 °C, and nothing else happened. */
export const quiet = (from: number, change: Partial<Quarter> = {}): Quarter => ({
  from,
  gainKwh: 0,
  lostKwh: 0,
  measuredKwh: 0,
  basis: 'measured',
  coveredMs: QUARTER,
  flowUncertaintyKwh: 0,
  pairUncertaintyKwh: 0,
  lossUncertaintyKwh: 0,
  litres: 0,
  driveKwhMinPerL: 0,
  driveMs: QUARTER,
  standingKwhPerL: 0,
  collectorC: 12,
  airC: 12,
  sunKwhPerM2: 0,
  backupKwh: 0,
  coverOpenMs: 0,
  filterOnMs: 0,
  pumpOnMs: 0,
  pumpKnownMs: QUARTER,
  pumpKwh: 0,
  tubC: 38,
  tubLowC: 38,
  tubHighC: 38,
  ...change,
});

/** Quarters from an instant on, each made from its number. */
export const quarters = (
  from: number,
  count: number,
  of: (i: number) => Partial<Quarter> = () => ({}),
): Quarter[] => Array.from({ length: count }, (_, i) => quiet(from + i * QUARTER, of(i)));

const sure = (value: number) => ({
  value,
  uncertainty: 0,
  basis: 'set-up' as const,
  readingsFrom: null,
  readingsTo: null,
});

/** Values that are known for sure. */
export const known = (lossWPerK: number, flowLPerMin: number): Learned => ({
  lossWPerK: sure(lossWPerK),
  flowLPerMin: sure(flowLPerMin),
  standingLitres: sure(2),
});
