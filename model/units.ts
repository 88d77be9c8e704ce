import { type PointKind, unitOf } from './points.ts';

/** Units in which boards send values, and the way from each to the unit that readings are kept in. */

/** kept = (sent − less) · times / over; a quotient of whole numbers keeps decimals exact. */
interface Scale {
  less?: number;
  times?: number;
  over?: number;
}

/** Units that SenML takes as they are: RFC 8428 §12.1 and RFC 8798 §2. */
export const senmlPrimaryUnits: ReadonlySet<string> = new Set(
  (
    'm kg g s A K cd mol Hz rad sr N Pa J W C V F Ohm S Wb T H Cel lm lx Bq Gy Sv kat m2 m3 l m/s ' +
    'm/s2 m3/s l/s W/m2 cd/m2 bit bit/s lat lon pH dB dBW Bspl count / % %RH %EL EL 1/s 1/min ' +
    'beat/min beats S/m ' +
    'B VA VAs var vars J/m kg/m3 deg'
  ).split(' '),
);

/** Units that stand for a primary one at a scale: RFC 8798 §3. */
export const senmlSecondaryUnits: ReadonlyMap<string, Scale & { primary: string }> = new Map([
  ['ms', { primary: 's', over: 1000 }],
  ['min', { primary: 's', times: 60 }],
  ['h', { primary: 's', times: 3600 }],
  ['MHz', { primary: 'Hz', times: 1e6 }],
  ['kW', { primary: 'W', times: 1000 }],
  ['kVA', { primary: 'VA', times: 1000 }],
  ['kvar', { primary: 'var', times: 1000 }],
  ['Ah', { primary: 'C', times: 3600 }],
  ['Wh', { primary: 'J', times: 3600 }],
  ['kWh', { primary: 'J', times: 3.6e6 }],
  ['varh', { primary: 'vars', times: 3600 }],
  ['kvarh', { primary: 'vars', times: 3.6e6 }],
  ['kVAh', { primary: 'VAs', times: 3.6e6 }],
  ['Wh/km', { primary: 'J/m', times: 36, over: 10 }],
  ['KiB', { primary: 'B', times: 1024 }],
  ['GB', { primary: 'B', times: 1e9 }],
  ['Mbit/s', { primary: 'bit/s', times: 1e6 }],
  ['B/s', { primary: 'bit/s', times: 8 }],
  ['MB/s', { primary: 'bit/s', times: 8e6 }],
  ['mV', { primary: 'V', over: 1000 }],
  ['mA', { primary: 'A', over: 1000 }],
  ['dBm', { primary: 'dBW', less: 30 }],
  ['ug/m3', { primary: 'kg/m3', over: 1e9 }],
  ['mm/h', { primary: 'm/s', over: 3.6e6 }],
  ['m/h', { primary: 'm/s', over: 3600 }],
  ['ppm', { primary: '/', over: 1e6 }],
  ['/100', { primary: '/', over: 100 }],
  ['/1000', { primary: '/', over: 1000 }],
  ['hPa', { primary: 'Pa', times: 100 }],
  ['mm', { primary: 'm', over: 1000 }],
  ['cm', { primary: 'm', over: 100 }],
  ['km', { primary: 'm', times: 1000 }],
  ['km/h', { primary: 'm/s', times: 10, over: 36 }],
]);

/** Whether a unit may stand in a SenML record. */
export const isSenmlUnit = (unit: string): boolean =>
  senmlPrimaryUnits.has(unit) || senmlSecondaryUnits.has(unit);

const LITRES_PER_GALLON = 3.785411784; // US, exact (NIST SP 811)

/**
 * From SenML's primary units, and from names that boards use beside them, to the unit that a kind is
 * kept in. A lone `C` or `F` is none of them: in SenML these are coulomb and farad.
 */
const toKept: Record<PointKind, ReadonlyMap<string, Scale>> = {
  temperature: new Map([
    ['Cel', {}],
    ['degC', {}],
    ['K', { less: 273.15 }],
    ['degF', { less: 32, times: 5, over: 9 }],
  ]),
  flag: new Map([['/', {}]]),
  flow: new Map([
    ['m3/s', { times: 60_000 }],
    ['l/s', { times: 60 }],
    ['l/h', { over: 60 }],
    ['m3/h', { times: 1000, over: 60 }],
    ['gal/min', { times: LITRES_PER_GALLON }],
  ]),
  volume: new Map([
    ['m3', { times: 1000 }],
    ['gal', { times: LITRES_PER_GALLON }],
  ]),
  irradiance: new Map([['W/m2', {}]]),
  power: new Map([]),
  voltage: new Map([]),
  energy: new Map([
    ['J', { over: 3.6e6 }],
    ['MJ', { times: 10, over: 36 }],
    ['MWh', { times: 1000 }],
  ]),
};

/**
 * A value in the unit that readings of a kind are kept in.
 *
 * @param unit  of SenML, primary or secondary, or one of the names above; undefined: as kept already
 * @returns null where the unit does not suit the kind, or the result is no finite number
 */
export function convertTo(kind: PointKind, unit: string | undefined, value: number): number | null {
  const kept = convert(kind, unit, value);
  return kept !== null && Number.isFinite(kept) ? kept : null;
}

function convert(kind: PointKind, unit: string | undefined, value: number): number | null {
  if (unit === undefined || unit === unitOf[kind]) return value;
  const direct = toKept[kind].get(unit);
  if (direct) return scaled(value, direct);
  if (kind === 'flag') return null; // a share of something is no state
  const primary = toPrimary(unit, value);
  return primary && convert(kind, primary.unit, primary.value);
}

/** A value of a secondary SenML unit in its primary one; null for any other unit. */
export function toPrimary(unit: string, value: number): { unit: string; value: number } | null {
  const secondary = senmlSecondaryUnits.get(unit);
  return secondary ? { unit: secondary.primary, value: scaled(value, secondary) } : null;
}

const scaled = (value: number, { less = 0, times = 1, over = 1 }: Scale): number =>
  ((value - less) * times) / over;

/** The units that `convertTo` takes for a kind, the kept one first, for a message that refuses another. */
export function unitsFor(kind: PointKind): string[] {
  const named = [unitOf[kind], ...toKept[kind].keys(), ...senmlSecondaryUnits.keys()];
  return [...new Set(named)].filter((unit) => unit !== '' && convertTo(kind, unit, 1) !== null);
}

/** Units to choose from for a kind, each once however many names it has; the kept one first. */
export function offeredUnits(kind: PointKind): string[] {
  const scales = new Set<string>();
  return unitsFor(kind).filter((unit) => {
    const scale = [0, 1].map((value) => convertTo(kind, unit, value)!.toPrecision(9)).join(' ');
    const isNew = !scales.has(scale);
    scales.add(scale);
    return isNew;
  });
}
