import type { FaultId } from '../rules/fault-id.ts';
import type { EvidenceFigures } from '../rules/rule.ts';
import type { TubSettings } from '../tub-settings.ts';
import type { HeardPoint } from './heard-point.ts';
import { ago, type History, over, type Remembered, slopePerH } from './history.ts';
import type { Usual } from './usual.ts';

/** What the service knows beside the readings. Nothing of it is known in a replay. */
export interface Outside {
  /** Since when the broker cannot be reached [ms]; null while it can. */
  linkDownSince: number | null;
  /** Boards whose last will says that they are gone. */
  gone: ReadonlySet<string>;
  /** By how much a point's own times have been off the clock on arrival, and for how many messages. */
  clocks: ReadonlyMap<string, { offMs: number; messages: number }>;
}

export const nothingOutside: Outside = { linkDownSince: null, gone: new Set(), clocks: new Map() };

/** The pump as its own point tells it. Times [ms]; plain data. */
export interface PumpHeard {
  on: boolean | null;
  changedAt: number;
  /** Of the last day. */
  starts: number[];
  stops: number[];
}

/** What is so with loop and tub just now; every rule and every sum takes these from here. */
export interface WorkingStates {
  pumpOn: boolean | null;
  /** How long the pump has been as it is [min]; infinite before it was ever heard to change. */
  pumpMinutes: number;
  /** The loop has not gone round often enough since the pump changed. */
  settling: boolean;
  sunPossible: boolean;
  dark: boolean;
  /** The controller rests on purpose: the tub is, or was a moment ago, near its limit. */
  limitPause: boolean;
  bathing: boolean;
  /** Cold water came into the tub a moment ago. */
  topUp: boolean;
  /** The pump runs so that the collectors do not freeze. */
  freezeRun: boolean;
  filterRun: boolean;
  drained: boolean;
}

/** One minute of a tub, as rules look at it. Unknown is null: not heard, not heard lately, or impossible. */
export class Minute {
  /** The end of the minute [ms since 1970-01-01 UTC]. */
  t = 0;
  settings: TubSettings;
  usual: Usual;
  outside: Outside = nothingOutside;
  heard: Readonly<Record<string, HeardPoint>>;
  pump: Readonly<PumpHeard>;
  states: Readonly<WorkingStates>;
  sunDeg = -90; // elevation
  sunAzimuthDeg = 0;
  /** Of the beam on the collectors' plane [°]; 90 and more: it comes from behind. */
  incidenceDeg = 180;
  /** A clear sky's sun in the collectors' plane. */
  clearWPerM2 = 0;
  /** Local minute of the day, 0…1439. */
  minuteOfDay = 0;

  tubC: number | null = null;
  collectorC: number | null = null;
  /** On its way from the tub, and back to it. */
  inletC: number | null = null;
  outletC: number | null = null;
  airC: number | null = null;
  lPerMin: number | null = null;
  pumpW: number | null = null;
  pumpV: number | null = null;
  backupW: number | null = null;
  setpointC: number | null = null;
  sunWPerM2: number | null = null;
  /** Counters, as they stand. */
  volumeL: number | null = null;
  backupKwh: number | null = null;
  coverOpen: boolean | null = null;
  levelLow: boolean | null = null;
  asked: boolean | null = null;
  /** Collector less tub [K]. */
  differenceK: number | null = null;

  /** Whether a fault is told just now, of any point. */
  isTold: (fault: FaultId) => boolean = () => false;
  /** What showed a fault of the whole loop that is told just now; null where it is not told. */
  toldBy: (fault: FaultId) => EvidenceFigures | null = () => null;

  private readonly history: History;

  constructor(parts: {
    settings: TubSettings;
    usual: Usual;
    heard: Record<string, HeardPoint>;
    pump: PumpHeard;
    states: WorkingStates;
    history: History;
  }) {
    this.settings = parts.settings;
    this.usual = parts.usual;
    this.heard = parts.heard;
    this.pump = parts.pump;
    this.states = parts.states;
    this.history = parts.history;
  }

  /** The value of some minutes ago. */
  ago(name: Remembered, minutes: number): number | null {
    return ago(this.history, name, minutes);
  }

  /** Slope of the last minutes [per hour]; null where less than two thirds of them are known. */
  slopePerH(name: Remembered, minutes: number): number | null {
    return slopePerH(this.history, name, minutes);
  }

  /** Lowest, mean and highest of the last minutes; null where less than two thirds are known. */
  over(name: Remembered, minutes: number): { low: number; mean: number; high: number } | null {
    return over(this.history, name, minutes);
  }
}
