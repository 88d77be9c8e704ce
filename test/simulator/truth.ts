import type { Happening } from './people.ts';

/** What truly was over a span; energies kWh, both gain and lost positive. */
export interface TrueSums {
  /** Heat that the loop brought to the tub and carried out of it, at the tub's boundary. */
  gainKwh: number;
  lostKwh: number;
  litres: number;
  pumpHours: number; // it turned
  starts: number;
  /** Electricity of pump and controller, 0 on a panel of their own. */
  pumpKwh: number;
  standbyKwh: number;
  /** Electricity of the backup and the heat that it gave. */
  backupKwh: number;
  backupHeatKwh: number;
  /** What the tub lost with its cover shut and with it open. */
  coveredLossKwh: number;
  openLossKwh: number;
  /** Warmth from filter pump, bathers and the sun on the cover; what came with water from the hose, less what left. */
  filterKwh: number;
  bathersKwh: number;
  sunOnTubKwh: number;
  waterKwh: number;
  sunKwhPerM2: number; // in the collectors' plane
  /** The loss coefficient as it was on the average while the cover was shut [W/K]; null: it was open all the time. */
  uaWPerK: number | null;
  tubLowC: number;
  tubHighC: number;
  tubMeanC: number;
  airMeanC: number;
  /** The water's mean temperature at the end. */
  tubEndC: number;
  twin: {
    backupKwh: number;
    backupHeatKwh: number;
    lossKwh: number;
    tubMeanC: number;
    tubEndC: number;
  };
  /** What the loop saved: the twin's backup less the real one, pump and standby [kWh of electricity]. */
  savedKwh: number;
}

export interface TrueDay extends TrueSums {
  date: string; // local
}

export interface TrueMonth extends TrueSums {
  month: string; // local
  days: number;
}

export interface TrueQuarter {
  from: number; // ms
  gainKwh: number;
  lostKwh: number;
  litres: number;
  tubC: number; // mean of the water over the quarter
  airC: number;
}

/** A night's true loss coefficient, from two hours after sunset to sunrise. */
export interface TrueNight {
  date: string; // of its morning
  from: number;
  to: number;
  uaWPerK: number;
  /** Neither pump, backup, filter, siphon, people nor hose touched it. */
  quiet: boolean;
}

export interface Truth {
  from: number;
  to: number;
  days: TrueDay[];
  months: TrueMonth[];
  total: TrueSums;
  quarters: TrueQuarter[];
  nightUa: TrueNight[];
  happenings: readonly Happening[];
  faults: { fault: string; raises: readonly string[]; from: number; to: number }[];
}
