/** One quarter hour of the ledger. Energies kWh; unknown is null. */
export interface Quarter {
  /** Start, aligned to UTC [ms since 1970-01-01 UTC]. */
  from: number;
  gainKwh: number | null;
  lostKwh: number | null;
  /** How much of gain was measured. */
  measuredKwh: number | null;
  /** Milliseconds during which the inputs of the calculation were there. */
  coveredMs: number;
  /** Standard uncertainty of gain − lost by cause [kWh]; each stays the same error from day to day. */
  flowUncertaintyKwh: number;
  pairUncertaintyKwh: number;
  lossUncertaintyKwh: number;
  /** Volume that went round [l]; null where no flow was known. */
  litres: number | null;
  pumpOnMs: number;
  /** Milliseconds during which it was known whether the pump ran. */
  pumpKnownMs: number;
  /** Electricity of the pump itself; null where nothing was known of it. */
  pumpKwh: number | null;
  tubC: number | null;
  tubLowC: number | null;
  tubHighC: number | null;
}
