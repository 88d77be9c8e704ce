import { Chance } from './chance.ts';
import { drawnInstruments } from './drawn-instruments.ts';
import type {
  BackupTraits,
  Climate,
  ControllerTraits,
  House,
  LoopTraits,
  MinuteSpan,
  PeopleTraits,
  PumpTraits,
  Shade,
  SolarArrayTraits,
  TubTraits,
} from './house.ts';

/** A region whose zone and weather go together; ranges are [low, high]. */
interface Region {
  timeZone: string;
  latitude: [number, number];
  longitude: [number, number];
  meanC: [number, number];
  seasonK: [number, number];
  cloudy: [number, number];
}

const region = (
  timeZone: string,
  latitude: [number, number],
  longitude: [number, number],
  meanC: [number, number],
  seasonK: [number, number],
  cloudy: [number, number],
): Region => ({ timeZone, latitude, longitude, meanC, seasonK, cloudy });

/** Both hemispheres, 30 to 60 degrees, zones of whole and half hours, with and without summer time. */
const regions: readonly Region[] = [
  region('Pacific/Auckland', [-46, -36], [168, 178], [10, 15], [4, 6], [0.35, 0.5]),
  region('Australia/Adelaide', [-38, -33], [136, 140], [14, 17], [5, 7], [0.2, 0.4]),
  region('Australia/Lord_Howe', [-31.6, -31.4], [159, 159.2], [19, 20], [3, 4], [0.35, 0.45]),
  region('America/Santiago', [-41, -32], [-73, -70.5], [11, 14], [5, 7], [0.2, 0.5]),
  region('America/Argentina/Buenos_Aires', [-40, -32], [-65, -58], [14, 17], [6, 8], [0.25, 0.45]),
  region('Africa/Johannesburg', [-34, -30], [19, 30], [15, 18], [4, 6], [0.15, 0.35]),
  region('Europe/Lisbon', [37, 42], [-9, -7], [14, 17], [5, 7], [0.2, 0.4]),
  region('Europe/Berlin', [48, 54], [7, 14], [8, 11], [8, 10], [0.45, 0.6]),
  region('Europe/London', [50.5, 57], [-5, 1], [9, 11], [5, 7], [0.5, 0.65]),
  region('Europe/Helsinki', [59.5, 60], [22, 28], [5, 7], [11, 13], [0.45, 0.6]),
  region('America/Denver', [36, 45], [-109, -103], [7, 12], [10, 13], [0.2, 0.4]),
  region('America/St_Johns', [46.8, 49], [-57, -53], [4, 6], [8, 10], [0.5, 0.65]),
  region('Asia/Tokyo', [33, 43], [132, 141], [9, 16], [10, 12], [0.35, 0.5]),
];

/** A house by a seed: the same seed always gives the same. */
export function drawnHouse(seed: number): House {
  const of = (name: string) => new Chance(seed, name);
  const { place, climate } = drawnPlace(of('place'));
  const tub = drawnTub(of('tub'));
  const array = drawnArray(of('array'), place.latitude);
  const controller = drawnController(of('controller'));
  const loop = drawnLoop(of('loop'));
  return {
    place,
    climate,
    array,
    shade: drawnShade(of('shade'), place.latitude),
    loop,
    pump: drawnPump(of('pump')),
    tub,
    controller,
    backup: drawnBackup(of('backup'), controller.limitC),
    filter: drawnFilter(of('filter')),
    people: drawnPeople(of('people')),
    instruments: drawnInstruments(of('instruments'), array.count),
  };
}

function drawnPlace(chance: Chance): { place: House['place']; climate: Climate } {
  const { timeZone, latitude, longitude, meanC, seasonK, cloudy } = chance.oneOf(regions);
  const elevationM = Math.round(chance.logNormal(80, 3));
  return {
    place: {
      latitude: round(chance.between(...latitude), 3),
      longitude: round(chance.between(...longitude), 3),
      elevationM: Math.min(1800, elevationM),
      timeZone,
    },
    climate: {
      meanC: chance.between(...meanC),
      seasonK: chance.between(...seasonK),
      dayK: chance.between(3, 7),
      frontsK: chance.between(1.5, 3.5),
      cloudy: chance.between(...cloudy),
      windMs: chance.between(1, 4),
      humidity: chance.between(0.5, 0.85),
      haze: chance.between(0, 0.12),
    },
  };
}

function drawnArray(chance: Chance, latitude: number): SolarArrayTraits {
  const evacuated = chance.happens(0.3);
  const count = chance.whole(2, 6);
  const towardsEquator = latitude < 0 ? 0 : 180;
  return {
    kind: evacuated ? 'evacuated' : 'glazed',
    count,
    areaM2: round(Math.min(8 / count, chance.happens(0.6) ? 0.8 : chance.between(0.7, 2.2)), 2),
    tiltDeg: chance.whole(20, 60),
    azimuthDeg: (towardsEquator + Math.round(40 * chance.normal()) + 720) % 360,
    eta0: round(evacuated ? chance.between(0.55, 0.68) : chance.between(0.68, 0.78), 3),
    a1: round(evacuated ? chance.between(1.2, 2) : chance.between(3.2, 4.8), 2),
    a2: round(evacuated ? chance.between(0.004, 0.01) : chance.between(0.008, 0.018), 4),
    slant: evacuated ? 0.05 : chance.between(0.08, 0.15),
    skyWPerM2K: evacuated ? 0.1 : chance.between(0.3, 0.9),
    waterKgPerM2: evacuated ? chance.between(0.3, 1) : chance.between(0.4, 1),
    dryKJPerM2K: evacuated ? chance.between(3, 7) : chance.between(4, 7),
  };
}

function drawnShade(chance: Chance, latitude: number): Shade[] {
  if (chance.happens(0.5)) return [];
  const noon = latitude < 0 ? 0 : 180;
  return Array.from({ length: chance.whole(1, 2) }, () => {
    const middle = noon + chance.oneOf([-1, 1]) * chance.between(35, 90);
    const half = chance.between(5, 18);
    return {
      fromAzimuthDeg: (middle - half + 720) % 360,
      toAzimuthDeg: (middle + half + 720) % 360,
      belowDeg: chance.between(10, 40),
      passes: chance.between(0, 0.5),
    };
  });
}

function drawnLoop(chance: Chance): LoopTraits {
  return {
    metresEachWay: round(chance.between(4, 16), 1),
    innerMm: chance.oneOf([13, 16, 16, 20]),
    lossWPerMK: chance.between(0.15, 0.35),
    wallKJPerMK: chance.between(0.15, 0.4),
    flowSensorAt: chance.oneOf(['inlet', 'outlet']),
    pairAt: 'tub',
    pairMetres: chance.between(0.1, 1),
  };
}

function drawnPump(chance: Chance): PumpTraits {
  const ownPanel = chance.happens(0.2);
  return {
    lPerMin: round(chance.between(2.5, 6), 1),
    driftPerMonth: chance.between(-0.03, 0.005),
    strays: chance.between(0.005, 0.03),
    watts: chance.whole(8, 25),
    standbyWatts: round(chance.between(1, 3), 1),
    supply: ownPanel ? 'own-panel' : 'mains',
    volts: chance.oneOf([12, 24]),
    stateIs: chance.oneOf(['powered', 'powered', 'powered', 'asked', 'turning']),
  };
}

function drawnTub(chance: Chance): TubTraits {
  const litres = 10 * chance.whole(70, 190);
  return {
    litres,
    seats: Math.round(litres / chance.between(210, 300)),
    surfaceM2: round(2.2 + litres / 900, 1),
    uaWPerK: round(chance.between(5, 18), 1),
    windShare: chance.between(0, 0.04),
    rainShare: chance.between(0, 0.25),
    sunShare: chance.between(0, 0.03),
    layered: chance.happens(0.5),
    upperShare: chance.between(0.4, 0.7),
    coverLossShare: chance.between(0.3, 0.7),
    stillWPerK: chance.logNormal(80, 1.6),
    loopMixWPerK: chance.logNormal(800, 1.7),
    returnsTo: chance.oneOf(['upper', 'lower']),
    shellShare: chance.between(0, 0.05),
    shellWPerK: chance.between(40, 120),
  };
}

function drawnController(chance: Chance): ControllerTraits {
  return {
    onK: round(chance.between(5, 10), 1),
    offK: round(chance.between(2, 4), 1),
    limitC: round(chance.between(39, 41), 1),
    limitBandK: chance.between(0.5, 1.5),
    runAtLeastMin: chance.oneOf([0, 0, 1, 3, 5]),
    restAtLeastMin: chance.oneOf([0, 0, 1, 3]),
    collectorOffsetK: chance.between(-0.8, 0.8),
    tubOffsetK: chance.between(-0.4, 0.4),
    lagS: chance.between(15, 90),
    freezeRun: chance.happens(0.3),
  };
}

function drawnBackup(chance: Chance, limitC: number): BackupTraits {
  const kind = chance.oneOf(['electric', 'electric', 'electric', 'heat-pump', 'none'] as const);
  const from = 30 * chance.whole(26, 36); // 13:00 … 18:00
  const timed = chance.happens(0.6);
  return {
    kind,
    watts: kind === 'heat-pump' ? 500 * chance.whole(6, 14) : 250 * chance.whole(4, 12),
    targetC: Math.min(round(chance.between(36.5, 39), 1), limitC - 0.8),
    bandK: chance.between(0.3, 1),
    offsetK: chance.between(-0.4, 0.4),
    spans: timed ? [{ from, to: from + 60 * chance.whole(4, 7) }] : [],
    cop7: round(chance.between(3, 4.2), 1),
    copPerK: chance.between(0.04, 0.1),
  };
}

function drawnFilter(chance: Chance): { spans: MinuteSpan[]; heatW: number } {
  const morning = 30 * chance.whole(10, 22);
  const evening = 30 * chance.whole(32, 42);
  const spans = [{ from: morning, to: morning + 60 * chance.whole(1, 4) }];
  if (chance.happens(0.5)) spans.push({ from: evening, to: evening + 60 * chance.whole(1, 2) });
  return { spans, heatW: chance.between(50, 250) };
}

function drawnPeople(chance: Chance): PeopleTraits {
  return {
    bathShare: chance.between(0.15, 0.7),
    batherW: chance.between(60, 150),
    carriedKg: chance.between(1, 3),
    topUpFromL: chance.between(15, 60),
    hoseLPerMin: chance.between(6, 14),
    awayShare: chance.between(0, 0.4),
  };
}

export function round(value: number, digits: number): number {
  const scale = 10 ** digits;
  return Math.round(value * scale) / scale;
}
