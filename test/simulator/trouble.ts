import type { MinuteSpan } from './house.ts';

/** What a sensor could feel at one moment; all of it true. */
export interface Scene {
  t: number; // ms since 1970-01-01 UTC
  tubC: number; // where its sensor hangs
  collectorC: number;
  eachC: readonly number[]; // at each collector's outlet
  inletC: number;
  outletC: number;
  airC: number;
  planeWm2: number;
  globalWm2: number;
  sunAzimuthDeg: number;
}

/** Everything that can be wrong just now; faults set it, the plant and the sensors obey it. */
export interface Trouble {
  /** `moves`: share of its water; `draws`: share of its power. */
  pump: { dead: boolean; forcedOn: boolean; moves: number; draws: number };
  controller: {
    mute: boolean;
    onK: number | null;
    offK: number | null;
    limitK: number; // added to the limit
    collectorK: number; // added to what its collector sensor reads
  };
  siphonLPerMin: number; // while the pump rests in the dark
  light: number; // share that reaches the collectors
  deadCollector: number; // from 1; 0: none
  pipeLoss: number; // times
  tubLoss: number; // times UA
  coverOff: boolean;
  leakLPerH: number;
  airK: number; // added to the outdoor temperature
  backup: {
    draws: boolean;
    heats: boolean;
    neverStops: boolean;
    targetK: number;
    spans: MinuteSpan[] | null;
  };
  /** What its rotor makes of the water: times, and whatever water does [l/min]. */
  meter: { gain: number; addsLPerMin: number };
  restartsPerDay: number;
  clockMs: number;
  /** What a point's sensor feels in place of what it should. */
  sees: Map<string, (scene: Scene) => number>;
  /** What a point tells in place of what its sensor read; null: nothing. */
  says: Map<string, (value: number, t: number) => number | null>;
}

export const noTrouble = (): Trouble => ({
  pump: { dead: false, forcedOn: false, moves: 1, draws: 1 },
  controller: { mute: false, onK: null, offK: null, limitK: 0, collectorK: 0 },
  siphonLPerMin: 0,
  light: 1,
  deadCollector: 0,
  pipeLoss: 1,
  tubLoss: 1,
  coverOff: false,
  leakLPerH: 0,
  airK: 0,
  backup: { draws: true, heats: true, neverStops: false, targetK: 0, spans: null },
  meter: { gain: 1, addsLPerMin: 0 },
  restartsPerDay: 0,
  clockMs: 0,
  sees: new Map(),
  says: new Map(),
});
