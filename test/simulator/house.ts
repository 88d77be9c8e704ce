import type { SensorClass } from '../../model/setup.ts';

/** Everything that is true of one house, its loop, its people and its instruments. */
export interface House {
  place: { latitude: number; longitude: number; elevationM: number; timeZone: string };
  climate: Climate;
  array: SolarArrayTraits;
  shade: Shade[];
  loop: LoopTraits;
  pump: PumpTraits;
  tub: TubTraits;
  controller: ControllerTraits;
  backup: BackupTraits;
  filter: { spans: MinuteSpan[]; heatW: number };
  people: PeopleTraits;
  instruments: Instruments;
}

export interface Climate {
  meanC: number; // of the year
  seasonK: number; // warmest month above the mean
  dayK: number; // half the swing of a clear day
  frontsK: number; // standard deviation over days
  cloudy: number; // 0 desert … 1 always overcast
  windMs: number; // median
  humidity: number; // 0…1
  haze: number; // share of the beam that a clear sky of this place lacks
}

/** Areas and coefficients by gross area, in the form of ISO 9806. */
export interface SolarArrayTraits {
  kind: 'glazed' | 'evacuated';
  count: number;
  areaM2: number; // of one
  tiltDeg: number;
  azimuthDeg: number;
  eta0: number;
  a1: number;
  a2: number;
  slant: number; // how fast light from the side is lost: K = 1 − slant · (1/cos − 1)
  skyWPerM2K: number; // to the sky, beside what a1 says
  waterKgPerM2: number;
  dryKJPerM2K: number; // heat that the collector takes without its water
}

/** Something that stands before the sun: beam from these directions passes in part. */
export interface Shade {
  fromAzimuthDeg: number;
  toAzimuthDeg: number;
  belowDeg: number;
  passes: number; // 0…1
}

export interface LoopTraits {
  metresEachWay: number;
  innerMm: number;
  lossWPerMK: number;
  wallKJPerMK: number;
  flowSensorAt: 'inlet' | 'outlet';
  pairAt: 'tub' | 'collectors';
  pairMetres: number; // from the pipe's end to where the pair sits
}

export interface PumpTraits {
  lPerMin: number; // when new
  driftPerMonth: number; // share
  strays: number; // standard deviation, share
  watts: number;
  standbyWatts: number;
  supply: 'mains' | 'own-panel';
  volts: number;
  stateIs: 'turning' | 'powered' | 'asked';
}

export interface TubTraits {
  litres: number;
  seats: number;
  surfaceM2: number;
  uaWPerK: number; // cover shut, dry, at a wind of 2 m/s
  windShare: number; // of UA, for each m/s
  rainShare: number; // of UA, while it rains
  sunShare: number; // of the light on the shut cover that ends in the water
  layered: boolean;
  upperShare: number; // of the water
  coverLossShare: number; // of UA
  stillWPerK: number; // between the layers
  loopMixWPerK: number; // between the layers while the loop runs
  returnsTo: 'upper' | 'lower';
  shellShare: number; // of the water's heat capacity
  shellWPerK: number;
}

export interface ControllerTraits {
  onK: number;
  offK: number;
  limitC: number;
  limitBandK: number;
  runAtLeastMin: number;
  restAtLeastMin: number;
  collectorOffsetK: number;
  tubOffsetK: number;
  lagS: number;
  freezeRun: boolean;
}

export interface BackupTraits {
  kind: 'electric' | 'heat-pump' | 'none';
  watts: number; // electricity of an element, heat of a heat pump
  targetC: number;
  bandK: number;
  offsetK: number; // of its own sensor
  spans: MinuteSpan[]; // when it may heat; none: always
  cop7: number; // heat for electricity at 7 °C outdoors
  copPerK: number;
}

/** A part of the day in minutes since 00:00 on the wall; may run across midnight. */
export interface MinuteSpan {
  from: number;
  to: number;
}

export interface PeopleTraits {
  bathShare: number; // of evenings
  batherW: number;
  carriedKg: number; // a bather
  topUpFromL: number;
  hoseLPerMin: number;
  awayShare: number; // of months with an absence in them
}

export type TemperatureClass = Extract<
  SensorClass,
  'digital-0.5' | 'digital-0.2' | 'pt100-a' | 'pt100-b' | 'thermistor-1'
>;

export interface ThermometerTraits {
  class: TemperatureClass;
  offsetShare: number; // −1…1 of what the class allows
  noiseK: number;
  stepK: number;
  lagS: number;
  leak: number; // share of the way to the air that a strapped sensor reads
}

export interface MeterTraits {
  class: 'turbine-10' | 'turbine-5';
  tells: 'rate' | 'volume';
  gain: number;
  startLPerMin: number;
  pulsesPerL: number;
  rateIs: 'mean' | 'now'; // over the time since the last reading, or just now
  counterStepL: number;
}

export interface BoardTraits {
  name: string;
  points: string[];
  everyS: number;
  onChange: boolean;
  heartbeatMin: number;
  stamps: 'board' | 'arrival';
  clockMs: number;
  outagesPerDay: number;
  outageMin: number; // median
  keeps: boolean; // what it could not send it sends later
  restartsPerDay: number;
  dropouts: number; // share of a digital sensor's readings
  repeats: number; // share
  late: number; // share
}

export interface Instruments {
  tub: ThermometerTraits & { height: number }; // 0 bottom … 1 surface
  collector: ThermometerTraits;
  inlet: ThermometerTraits;
  outlet: ThermometerTraits;
  outdoor: ThermometerTraits;
  eachCollector: ThermometerTraits | null;
  zeroed: boolean; // the pair was held in one cup
  zeroingK: number; // what that left between them
  meter: MeterTraits;
  irradianceGain: number;
  backupTells: 'power' | 'energy' | 'both';
  energyStepKwh: number;
  levelLowL: number; // missing water at which the level switch says low
  statesAtOnce: boolean; // switches are told when they change, not at the next round
  boards: BoardTraits[];
}

/** Any part of a house, to be put in place of what the seed drew; lists are replaced whole. */
export type Overrides<T> = {
  [K in keyof T]?: T[K] extends readonly unknown[]
    ? T[K]
    : T[K] extends object | null
      ? Overrides<T[K]> | T[K]
      : T[K];
};

export function overridden<T extends object>(drawn: T, by: Overrides<T>): T {
  const merged = Object.entries(by).map(([key, value]) => {
    const own = (drawn as Record<string, unknown>)[key];
    return [key, isRecord(value) && isRecord(own) ? overridden(own, value) : value];
  });
  return { ...drawn, ...Object.fromEntries(merged) };
}

const isRecord = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** What an owner has: A the usual three points, B with the heat measured, C everything. */
export type Kit = 'A' | 'B' | 'C';
