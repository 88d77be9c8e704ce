/** The measuring points that a tub can have, and what is known of each before a value is heard. */

/** What a point measures; it decides the unit that a reading is kept in. */
export type PointKind =
  | 'temperature' // °C
  | 'flag' // 1 or 0
  | 'flow' // l/min
  | 'volume' // l, a counter
  | 'irradiance' // W/m²
  | 'power' // W
  | 'voltage' // V
  | 'energy'; // kWh, a counter

export interface PointType {
  kind: PointKind;
  /** Values outside low…high cannot be: they are kept and left out of every calculation. */
  low: number;
  high: number;
}

const temperature = (low: number, high: number): PointType => ({ kind: 'temperature', low, high });
const flag: PointType = { kind: 'flag', low: 0, high: 1 };
const amount = (kind: PointKind): PointType => ({ kind, low: 0, high: Number.MAX_VALUE });

/** Temperature limits: faults of the sensor's wire read far outside what each place can reach. */
const types: Record<string, PointType> = {
  'tub/temperature': temperature(-5, 60),
  'tub/cover': flag,
  'tub/level': flag,
  'collector/temperature': temperature(-40, 230),
  'collector/inlet': temperature(-30, 115),
  'collector/outlet': temperature(-30, 115),
  'collector/irradiance': { kind: 'irradiance', low: -20, high: 2000 },
  'pump/running': flag,
  'pump/commanded': flag,
  'pump/power': amount('power'),
  'pump/voltage': amount('voltage'),
  'pump/flow': { kind: 'flow', low: -1e3, high: 1e6 },
  'pump/volume': amount('volume'),
  'backup/power': amount('power'),
  'backup/setpoint': temperature(-5, 60),
  'backup/energy': amount('energy'),
  'filter/running': flag,
  'outdoor/temperature': temperature(-60, 60),
};

const nthCollector = temperature(-40, 230);
const nthCollectorName = /^collector\/([1-9]\d?)\/temperature$/;

/** Collector N's number in `collector/N/temperature`, or null for any other point. */
export function collectorNumber(point: string): number | null {
  const match = nthCollectorName.exec(point);
  return match ? Number(match[1]) : null;
}

/** What is known of a point by its name, e.g. `pump/flow`; null for a name that is no point. */
export function pointType(point: string): PointType | null {
  if (Object.hasOwn(types, point)) return types[point]!;
  return nthCollectorName.test(point) ? nthCollector : null;
}

/** Every point with a fixed name, in the order in which people read them. */
export const fixedPoints: readonly string[] = Object.keys(types);

/** The unit that readings of a kind are kept in, as shown to people; a flag has none. */
export const unitOf: Record<PointKind, string> = {
  temperature: '°C',
  flag: '',
  flow: 'l/min',
  volume: 'l',
  irradiance: 'W/m²',
  power: 'W',
  voltage: 'V',
  energy: 'kWh',
};

/**
 * How old a value may grow before it no longer stands for the present [min], unless the set-up's
 * `longestGapMin` says otherwise.
 */
export function defaultLongestGapMin(kind: PointKind): number {
  if (kind === 'flag') return 1440;
  return kind === 'volume' || kind === 'energy' ? 60 : 10;
}

const tubName = /^[a-z0-9-]{1,32}$/;

/** Whether a topic's second part can name a tub: 1 to 32 of `a-z 0-9 -`, but not `service`. */
export const isTubName = (name: string): boolean => tubName.test(name) && name !== 'service';
