import { defaultLongestGapMin, pointType } from './points.ts';
import { MINUTE } from './readings.ts';
import type { SensorClass, TubSetup } from './setup.ts';

/** A tub's set-up with every default filled in; the document keeps only what the owner said. */
export interface TubSettings {
  id: string;
  name: string;
  place: { latitude: number; longitude: number; elevationM: number; timeZone: string };
  tub: { litres: number; seats: number; targetC: number; limitC: number; lossWPerK: number };
  collectors: {
    count: number;
    areaM2: number; // gross area of one collector
    tiltDeg: number;
    azimuthDeg: number; // clockwise from north
    eta0: number;
    a1: number; // W/(m²·K)
    a2: number; // W/(m²·K²)
  };
  loop: {
    pipeMetres: number; // both ways together
    flowLPerMin: number;
    flowUncertaintyLPerMin: number | null; // standard, of a measured flow; null where it is none
    flowSensorAt: 'inlet' | 'outlet';
    pairAt: 'tub' | 'collectors';
    fluid: 'tub-water' | 'antifreeze';
    meterSide: 'tub' | 'collector';
    freeze: 'none' | 'drain-back' | 'recirculates';
  };
  pump: {
    watts: number;
    standbyWatts: number;
    stateIs: 'turning' | 'powered' | 'asked' | 'none';
    supply: 'mains' | 'own-panel';
  };
  controller: { switchOnK: number; switchOffK: number };
  backup: {
    kind: 'electric' | 'heat-pump' | 'gas' | 'none';
    efficiency: number;
    /** By the air outdoors, from cold to warm; null where one figure is all that is said. */
    efficiencyAt: { airC: number; efficiency: number }[] | null;
    watts: number;
    hours: { days: number[]; from: string; to: string }[] | null; // null: always
  };
  evening: { at: string };
  tariff: NonNullable<TubSetup['tariff']> | null;
  carbonGPerKwh: number | null;
  sensors: NonNullable<TubSetup['sensors']>;
  corrections: NonNullable<TubSetup['corrections']>;
  boards: NonNullable<TubSetup['boards']>;
  longestGapMin: NonNullable<TubSetup['longestGapMin']>;
  /** Delays and thresholds of rules that the owner has changed. */
  faults: NonNullable<TubSetup['faults']>;
  /** What the owner's log says of this time. */
  owner: OwnerSays;
  /** Which of the values that can be learned the owner has said; the others are assumed. */
  said: {
    litres: boolean;
    lossWPerK: boolean;
    flowLPerMin: boolean;
    /** Area and efficiency of the collectors, without which nothing can be held against a data sheet. */
    dataSheet: boolean;
  };
}

const backupEfficiency = { electric: 1, 'heat-pump': 3, gas: 0.8, none: 1 };

/** What the owner's log says of a time; instants [ms], null for what was never said. */
export interface OwnerSays {
  bathing: boolean;
  /** The water is being changed, or was or will be within hours. */
  changingWater: boolean;
  away: boolean;
  drained: boolean;
  /** Water goes round also while the pump is known to rest, and counts. */
  flowConfirmed: boolean;
  filterCleanedAt: number | null;
  coverSince: number | null;
  waterChangedAt: number | null;
  /** When sensors were moved, by point; `*` where none was named. */
  movedAt: Readonly<Record<string, number>>;
}

export const nothingSaid: OwnerSays = {
  bathing: false,
  changingWater: false,
  away: false,
  drained: false,
  flowConfirmed: false,
  filterCleanedAt: null,
  coverSince: null,
  waterChangedAt: null,
  movedAt: {},
};

/** Fills in the defaults; each is shown as assumed until the owner says otherwise. */
export function tubSettings(said: TubSetup): TubSettings {
  const seats = said.tub?.seats ?? 4;
  const kind = said.backup?.kind ?? 'electric';
  return {
    id: said.id,
    name: said.name ?? said.id,
    place: { elevationM: 0, ...said.place },
    tub: { litres: 1000, seats, targetC: 38, limitC: 39.5, lossWPerK: 10, ...said.tub },
    collectors: {
      count: seats,
      areaM2: 0.8,
      tiltDeg: 45,
      azimuthDeg: said.place.latitude < 0 ? 0 : 180,
      eta0: 0.75,
      a1: 4,
      a2: 0.015,
      ...said.collectors,
    },
    loop: {
      pipeMetres: 24,
      flowLPerMin: 3.5,
      flowUncertaintyLPerMin: null,
      flowSensorAt: 'inlet',
      pairAt: 'tub',
      fluid: 'tub-water',
      meterSide: 'tub',
      freeze: 'none',
      ...said.loop,
    },
    pump: { watts: 13, standbyWatts: 2, stateIs: 'powered', supply: 'mains', ...said.pump },
    controller: { switchOnK: 8, switchOffK: 3, ...said.controller },
    backup: {
      kind,
      efficiency: backupEfficiency[kind],
      watts: 2000,
      ...said.backup,
      efficiencyAt: said.backup?.efficiencyAt?.toSorted((a, b) => a.airC - b.airC) ?? null,
      // a backup that never runs is none; who names no hours bounds none
      hours: said.backup?.hours?.length ? said.backup.hours : null,
    },
    evening: { at: '20:00', ...said.evening },
    tariff: said.tariff ?? null,
    carbonGPerKwh: said.carbon?.gPerKwh ?? null,
    sensors: said.sensors ?? {},
    corrections: said.corrections ?? {},
    boards: said.boards ?? [],
    longestGapMin: said.longestGapMin ?? {},
    faults: said.faults ?? {},
    owner: nothingSaid,
    said: {
      litres: said.tub?.litres !== undefined,
      lossWPerK: said.tub?.lossWPerK !== undefined,
      flowLPerMin: said.loop?.flowLPerMin !== undefined,
      dataSheet: isDataSheet(said.collectors),
    },
  };
}

const isDataSheet = (collectors: TubSetup['collectors']): boolean =>
  collectors?.areaM2 !== undefined &&
  collectors.eta0 !== undefined &&
  collectors.a1 !== undefined &&
  collectors.a2 !== undefined;

/** How long a reading of a point stands for the present before nothing is known any more [ms]. */
export function longestGapMs(settings: TubSettings, point: string): number {
  const type = pointType(point);
  const minutes =
    settings.longestGapMin[point] ?? defaultLongestGapMin(type?.kind ?? 'temperature');
  return minutes * MINUTE;
}

/** The class that a sensor is taken for where the set-up does not name one. */
export function sensorClass(settings: TubSettings, point: string): SensorClass {
  const kind = pointType(point)?.kind;
  const usual = kind === 'flow' || kind === 'volume' ? 'turbine-10' : 'digital-0.5';
  return settings.sensors[point]?.class ?? usual;
}

/** One set-up of a tub, with the instant from which it holds (−Infinity: always). */
export interface SettingsVersion {
  from: number;
  settings: TubSettings;
}

/** Cuts a span where the settings change: each part with the settings then in force. */
export function versionsWithin(
  versions: readonly SettingsVersion[],
  from: number,
  to: number,
): { from: number; to: number; settings: TubSettings }[] {
  const parts: { from: number; to: number; settings: TubSettings }[] = [];
  versions.forEach((version, index) => {
    const start = Math.max(from, version.from);
    const end = Math.min(to, versions[index + 1]?.from ?? Number.POSITIVE_INFINITY);
    if (start < end) parts.push({ from: start, to: end, settings: version.settings });
  });
  return parts;
}
