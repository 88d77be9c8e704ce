import { type PointKind, pointType } from './points.ts';

/** What a number that some board sends may be: by the names around it, and by what it reads. */

/** A number as it was overheard. */
export interface HeardNumber {
  topic: string;
  /** JSON Pointer (RFC 6901) to it in the payload; null where the payload is the number. */
  pointer: string | null;
  /** What it read, in order; at least one. */
  values: readonly number[];
  /** It came as on, off, true or false. */
  isSwitch: boolean;
}

/** What is known of the tub already, to hold it against. */
export interface KnownBeside {
  /** °C */
  tubC: number | null;
  collectorC: number | null;
  /** Points that are heard already. */
  points: readonly string[];
}

/** What speaks for a guess: the names around it, or what it reads. */
export type GuessReason =
  | 'name'
  | 'near-tub'
  | 'near-collector'
  | 'like-a-tub'
  | 'hot'
  | 'mild'
  | 'only-rises'
  | 'strong'
  | 'weak';

export interface Guess {
  point: string;
  /** As wiring names it; null: as readings of the point are kept. */
  unit: string | null;
  why: GuessReason;
}

const named = (words: string) => new Set(words.split(' '));

/** Words that say what is measured; the unit where they say it too. */
const kinds: readonly { words: Set<string>; kind: PointKind; unit?: string }[] = [
  { words: named('f tempf fahrenheit degf'), kind: 'temperature', unit: 'degF' },
  {
    words: named('temp temperature tempc celsius degc thermometer ds18b20 setpoint target'),
    kind: 'temperature',
  },
  { words: named('irradiance radiation pyranometer ghi poa wm2'), kind: 'irradiance' },
  { words: named('wh'), kind: 'energy', unit: 'Wh' },
  { words: named('energy kwh'), kind: 'energy' },
  { words: named('kw'), kind: 'power', unit: 'kW' },
  { words: named('power watt watts apower'), kind: 'power' },
  { words: named('voltage volt volts'), kind: 'voltage' },
  { words: named('lph'), kind: 'flow', unit: 'l/h' },
  { words: named('flow lpm flowrate'), kind: 'flow' },
  { words: named('m3'), kind: 'volume', unit: 'm3' },
  { words: named('volume litres liters litre liter'), kind: 'volume' },
];

/** What boards tell of themselves, and what no loop has. */
const others = named(
  'rssi lqi snr battery batt uptime id time timestamp ts epoch date seq count counter heap free ip ' +
    'channel version humidity pressure hum press lux pm25 co2 latitude longitude lat lon current pf ' +
    'frequency linkquality signal',
);

const places = {
  outdoor: named('outdoor outside outdoors ambient air weather garden'),
  setpoint: named('setpoint target'),
  inlet: named('inlet supply'),
  outlet: named('outlet return back'),
  tub: named('tub spa pool water bath basin hottub'),
  collector: named('collector collectors panel panels roof solar absorber'),
  backup: named('backup heater boiler heatpump element'),
  filter: named('filter circulation'),
  cover: named('cover lid'),
  level: named('level float'),
  asked: named('command commanded request relay asked'),
  pump: named('pump'),
} as const;

type Place = keyof typeof places;

const temperaturePoint: Partial<Record<Place, string>> = {
  outdoor: 'outdoor/temperature',
  setpoint: 'backup/setpoint',
  inlet: 'collector/inlet',
  outlet: 'collector/outlet',
  tub: 'tub/temperature',
  collector: 'collector/temperature',
};
const flagPoint: Partial<Record<Place, string>> = {
  cover: 'tub/cover',
  level: 'tub/level',
  filter: 'filter/running',
  asked: 'pump/commanded',
  pump: 'pump/running',
};
const onlyPoint: Partial<Record<PointKind, string>> = {
  irradiance: 'collector/irradiance',
  energy: 'backup/energy',
  voltage: 'pump/voltage',
  flow: 'pump/flow',
  volume: 'pump/volume',
};

/** What a pump of a small loop, and what a tub's heater draws. [W] */
const WEAK = { from: 3, to: 80 };
const STRONG_W = 300;
/** As near to each other as two thermometers in the same water. [K] */
const NEAR_K = 1.5;
const LIKE_A_TUB = { fromC: 25, toC: 42 };
const HOT_C = 50;
const MILD = { fromC: -30, toC: 25 };
/** A counter has to be seen to rise. */
const RISES = { readings: 3, timesRisen: 2 };
/** No tub is so warm in °C: then it reads °F. */
const SCALDS_C = 60;

/** The likeliest point that is not heard already; null where nothing speaks for one. */
export function guess(number: HeardNumber, beside: KnownBeside): Guess | null {
  const words = wordsOf(number);
  if (words.slice(-2).some((word) => others.has(word))) return null;
  const named = byName(number, words);
  const found = named === undefined ? byValue(number, words, beside) : named;
  if (found === null || beside.points.includes(found.point)) return null;
  return found;
}

/** The words of topic and pointer in lower case, in order; `outdoorTemp` is two of them. */
function wordsOf({ topic, pointer }: HeardNumber): string[] {
  return `${topic}/${pointer ?? ''}`
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .split(/[^a-z0-9]+/)
    .flatMap((word) => (/^[a-z]+\d+$/.test(word) ? [word, word.replace(/\d+$/, '')] : [word]))
    .filter((word) => word !== '');
}

/** The place that is named last, nearest to the number itself. */
function placeIn(words: readonly string[], of: readonly Place[]): Place | undefined {
  const word = words.findLast((word) => of.some((place) => places[place].has(word)));
  return word === undefined ? undefined : of.find((place) => places[place].has(word));
}

/** null: its name says that it is none of ours, or reads what it cannot; undefined: its name says nothing. */
function byName(
  { isSwitch, values }: HeardNumber,
  words: readonly string[],
): Guess | null | undefined {
  if (isSwitch || values.every((value) => value === 0 || value === 1)) {
    const place = placeIn(words, Object.keys(flagPoint) as Place[]);
    return place && { point: flagPoint[place]!, unit: null, why: 'name' };
  }
  const kind = kinds.find((each) => words.some((word) => each.words.has(word)));
  if (kind?.kind === 'temperature' || kind === undefined) {
    const place = placeIn(words, Object.keys(temperaturePoint) as Place[]);
    if (!place) return undefined;
    return asTemperature(temperaturePoint[place]!, values, kind?.unit ?? null);
  }
  if (kind.kind === 'power') {
    const place = placeIn(words, ['backup', 'pump']);
    return place && { point: `${place}/power`, unit: kind.unit ?? null, why: 'name' };
  }
  return { point: onlyPoint[kind.kind]!, unit: kind.unit ?? null, why: 'name' };
}

/** A temperature of a place, where it reads what that place can have. */
function asTemperature(
  point: string,
  values: readonly number[],
  unit: string | null,
): Guess | null {
  const last = values.at(-1)!;
  const isInF = unit === 'degF' || (point.startsWith('tub/') && last > SCALDS_C);
  const celsius = isInF ? (last - 32) / 1.8 : last;
  const { low, high } = pointType(point)!;
  if (celsius < low || celsius > high) return null;
  return { point, unit: isInF ? 'degF' : null, why: 'name' };
}

function byValue(
  { values, isSwitch }: HeardNumber,
  words: readonly string[],
  { tubC, collectorC, points }: KnownBeside,
): Guess | null {
  if (isSwitch) return null;
  const value = values.at(-1)!;
  const kind = kinds.find((each) => words.some((word) => each.words.has(word)))?.kind;
  const as = (point: string, why: GuessReason): Guess => ({ point, unit: null, why });
  if (kind === 'power') {
    if (value >= STRONG_W) return as('backup/power', 'strong');
    return value >= WEAK.from && value <= WEAK.to ? as('pump/power', 'weak') : null;
  }
  // Water in the sun only rises too, for as long as anybody listens.
  const isWarm = kind === 'temperature' || words.at(-1) === 't';
  if (!isWarm) return onlyRises(values) ? as('pump/volume', 'only-rises') : null;
  if (tubC !== null && Math.abs(value - tubC) <= NEAR_K) return as('collector/inlet', 'near-tub');
  const isApart = collectorC !== null && tubC !== null && Math.abs(collectorC - tubC) > 2 * NEAR_K;
  if (isApart && Math.abs(value - collectorC) <= 2 * NEAR_K) {
    return as('collector/outlet', 'near-collector');
  }
  if (value >= HOT_C) return as('collector/temperature', 'hot');
  const isTubHeard = points.includes('tub/temperature');
  if (!isTubHeard && value >= LIKE_A_TUB.fromC && value <= LIKE_A_TUB.toC) {
    return as('tub/temperature', 'like-a-tub');
  }
  return value >= MILD.fromC && value < MILD.toC ? as('outdoor/temperature', 'mild') : null;
}

function onlyRises(values: readonly number[]): boolean {
  if (values.length < RISES.readings) return false;
  const steps = values.slice(1).map((value, i) => value - values[i]!);
  const risen = steps.filter((step) => step > 0).length;
  return risen >= RISES.timesRisen && steps.every((step) => step >= 0);
}
