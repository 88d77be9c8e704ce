import type { Chance } from './chance.ts';
import type {
  BoardTraits,
  Instruments,
  MeterTraits,
  TemperatureClass,
  ThermometerTraits,
} from './house.ts';

/**
 * Greatest error that a data sheet allows a thermometer at a temperature [K]: the one-wire chip from
 * −10 to 85 °C, platinum by IEC 60751.
 */
export function classLimitK(of: TemperatureClass, atC: number): number {
  if (of === 'digital-0.5') return 0.5;
  if (of === 'digital-0.2') return 0.2;
  if (of === 'thermistor-1') return 0.4;
  return of === 'pt100-a' ? 0.15 + 0.002 * Math.abs(atC) : 0.3 + 0.005 * Math.abs(atC);
}

const classes: readonly TemperatureClass[] = [
  'digital-0.5',
  'digital-0.5',
  'digital-0.2',
  'pt100-a',
  'pt100-b',
  'thermistor-1',
];

export function drawnInstruments(chance: Chance, collectors: number): Instruments {
  const usual = chance.oneOf(classes);
  const pocket = () => drawnThermometer(chance, usual, [20, 60], [0, 0]);
  const strapped = chance.happens(0.5);
  const pipe = () =>
    strapped
      ? drawnThermometer(chance, usual, [30, 90], [0.003, 0.02])
      : drawnThermometer(chance, usual, [8, 30], [0, 0]);
  return {
    tub: { ...drawnThermometer(chance, usual, [30, 120], [0, 0]), height: chance.unit() },
    collector: pocket(),
    inlet: pipe(),
    outlet: pipe(),
    outdoor: drawnThermometer(chance, usual, [120, 400], [0, 0]),
    eachCollector: chance.happens(0.4) ? pocket() : null,
    zeroed: chance.happens(0.4),
    zeroingK: 0.06 * chance.normal(),
    meter: drawnMeter(chance),
    irradianceGain: chance.between(0.95, 1.05),
    backupTells: chance.oneOf(['power', 'energy', 'both']),
    energyStepKwh: chance.oneOf([0.001, 0.01, 0.1]),
    levelLowL: chance.between(40, 90),
    statesAtOnce: chance.happens(0.7),
    boards: drawnBoards(chance, collectors),
  };
}

function drawnThermometer(
  chance: Chance,
  of: TemperatureClass,
  lagS: [number, number],
  leak: [number, number],
): ThermometerTraits {
  const digital = of.startsWith('digital');
  return {
    class: of,
    offsetShare: chance.between(-1, 1),
    noiseK: digital ? chance.between(0.01, 0.05) : chance.between(0.02, 0.12),
    stepK: digital ? chance.oneOf([0.0625, 0.0625, 0.125, 0.25, 0.5]) : 0.1,
    lagS: chance.between(...lagS),
    leak: chance.between(...leak),
  };
}

function drawnMeter(chance: Chance): MeterTraits {
  const good = chance.happens(0.5);
  const limit = good ? 0.05 : 0.1;
  return {
    class: good ? 'turbine-5' : 'turbine-10',
    tells: chance.oneOf(['rate', 'rate', 'volume']),
    gain: 1 + chance.between(-limit, limit),
    startLPerMin: chance.between(0.3, 1),
    pulsesPerL: chance.oneOf([60, 120, 300, 450]),
    rateIs: chance.oneOf(['mean', 'now']),
    counterStepL: chance.oneOf([0.01, 0.1, 1, 10]),
  };
}

const tubPoints = [
  'tub/temperature',
  'tub/cover',
  'tub/level',
  'filter/running',
  'backup/power',
  'backup/energy',
];
const pumpPoints = [
  'pump/running',
  'pump/power',
  'pump/voltage',
  'pump/flow',
  'pump/volume',
  'collector/inlet',
  'collector/outlet',
];
const roofPoints = ['collector/temperature', 'collector/irradiance', 'outdoor/temperature'];

function drawnBoards(chance: Chance, collectors: number): BoardTraits[] {
  const each = Array.from({ length: collectors }, (_, i) => `collector/${i + 1}/temperature`);
  const roof = [...roofPoints, ...each];
  const split = chance.oneOf([
    { box: [...tubPoints, ...pumpPoints, ...roof] },
    { shed: [...tubPoints, ...pumpPoints], roof },
    { tub: tubPoints, shed: pumpPoints, roof },
  ] as Record<string, string[]>[]);
  return Object.entries(split).map(([name, points]) => drawnBoard(chance, name, points));
}

function drawnBoard(chance: Chance, name: string, points: string[]): BoardTraits {
  const steady = chance.happens(0.4);
  return {
    name,
    points,
    everyS: chance.oneOf([5, 10, 15, 30, 30, 60]),
    onChange: chance.happens(0.2),
    heartbeatMin: chance.oneOf([2, 5, 8]),
    stamps: chance.happens(0.5) ? 'board' : 'arrival',
    clockMs: chance.between(-3000, 3000),
    outagesPerDay: steady ? 0.01 : chance.between(0.02, 0.3),
    outageMin: chance.logNormal(15, 2),
    keeps: chance.happens(0.3),
    restartsPerDay: steady ? 0.05 : chance.between(0.05, 1),
    dropouts: steady ? 0 : chance.logNormal(2e-4, 2),
    repeats: steady ? 0 : chance.between(0, 0.003),
    late: steady ? 0 : chance.between(0, 0.003),
  };
}
