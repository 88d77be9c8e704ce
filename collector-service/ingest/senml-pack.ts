import type { Refusal } from './payload-form.ts';

/** SenML packs (RFC 8428) as JSON, resolved: no base fields, absolute times. Terms are the RFC's. */

/** A resolved record (RFC 8428 §4.6). */
export interface SenmlRecord {
  n: string;
  u?: string;
  /** Unix time [s]. */
  t: number;
  /** The pack told an instant, rather than a time before or after its arrival. */
  ownTime: boolean;
  v?: number;
  vs?: string;
  vb?: boolean;
  vd?: string;
  s?: number;
  ut?: number;
}

export type SenmlPack = { records: SenmlRecord[]; refused: Refusal[] } | Refusal;

/** The version of SenML that is read (RFC 8428 §4.4). */
const VERSION = 10;

/** Times below 2^28 s are relative to now (RFC 8428 §4.5.3). */
const FIRST_ABSOLUTE = 2 ** 28;

const baseLabels: Record<string, 'string' | 'number'> = {
  bn: 'string',
  bt: 'number',
  bu: 'string',
  bv: 'number',
  bs: 'number',
  bver: 'number',
};

const labels: Record<string, 'string' | 'number' | 'boolean'> = {
  n: 'string',
  u: 'string',
  t: 'number',
  ut: 'number',
  v: 'number',
  vs: 'string',
  vb: 'boolean',
  vd: 'string',
  s: 'number',
};

interface Base {
  bn: string;
  bt: number;
  bu: string | undefined;
  bv: number;
  bs: number;
  bver: number | undefined;
}

type Fields = Record<string, unknown>;

/** A name as it stands after the base name was put before it (RFC 8428 §4.5.1). */
export const isSenmlName = (name: string): boolean => /^[A-Za-z0-9][-A-Za-z0-9:./_]*$/.test(name);

/**
 * Resolves a pack. What is wrong with one record refuses that record; what is wrong with a base
 * field, with the version or with a label that must be understood refuses the pack.
 *
 * @param nowS  when the pack arrived [Unix time, s]
 * @returns records in the order of their times
 */
export function resolvePack(document: unknown, nowS: number): SenmlPack {
  if (!Array.isArray(document)) return { why: 'a SenML pack is a JSON array' };
  if (document.length === 0) return { why: 'the SenML pack is empty' };
  const records: SenmlRecord[] = [];
  const refused: Refusal[] = [];
  const base: Base = { bn: '', bt: 0, bu: undefined, bv: 0, bs: 0, bver: undefined };
  for (const record of document) {
    if (typeof record !== 'object' || record === null || Array.isArray(record)) {
      refused.push({ why: 'a SenML record is a JSON object' });
      continue;
    }
    const wrong = packFault(record, base);
    if (wrong !== null) return { why: wrong };
    takeBase(record, base);
    const why = recordFault(record);
    if (why !== null) refused.push({ why });
    else if (hasMeasurement(record)) records.push(resolved(record, base, nowS));
  }
  records.sort((a, b) => a.t - b.t);
  return { records, refused };
}

/** What makes the whole pack one that must not be used. */
function packFault(record: Fields, base: Base): string | null {
  for (const label of Object.keys(record)) {
    const type = Object.hasOwn(baseLabels, label) ? baseLabels[label] : undefined;
    if (type !== undefined && !isA(type, record[label])) {
      return 'a SenML base field is not of its type';
    }
    // RFC 8428 §4.4: a label that must be understood ends in _; version 10 defines none.
    if (label.endsWith('_')) return 'the SenML pack has a label ending in _ that is not known here';
  }
  const bver = Object.hasOwn(record, 'bver') ? (record.bver as number) : undefined;
  if (bver !== undefined && (!Number.isInteger(bver) || bver < 1)) {
    return 'the SenML version is a positive whole number';
  }
  if (bver !== undefined && bver > VERSION) return 'the SenML version is above 10';
  // All records have the same version, and one that states none has 10 (RFC 8428 §4.4).
  if (bver !== undefined && base.bver !== undefined && bver !== base.bver) {
    return 'the SenML pack has records of two versions';
  }
  return null;
}

function takeBase(record: Fields, base: Base): void {
  for (const label of Object.keys(baseLabels)) {
    if (Object.hasOwn(record, label)) (base as unknown as Fields)[label] = record[label];
  }
  base.bver ??= VERSION;
}

/** What makes one record none, while the others stand. */
function recordFault(record: Fields): string | null {
  for (const label of Object.keys(record)) {
    const type = Object.hasOwn(labels, label) ? labels[label] : undefined;
    if (type !== undefined && !isA(type, record[label])) {
      return 'a field of the SenML record is not of its type';
    }
  }
  const values = valueLabels.filter((label) => Object.hasOwn(record, label)).length;
  if (values > 1) return 'the SenML record has two values';
  if (values === 0 && !Object.hasOwn(record, 's') && !onlyBase(record)) {
    return 'the SenML record has no value';
  }
  // RFC 8428 §4.3 and §5: URL-safe alphabet, no padding.
  if (Object.hasOwn(record, 'vd') && !/^[A-Za-z0-9_-]*$/.test(record.vd as string)) {
    return 'the data of the SenML record are not base64url without padding';
  }
  return null;
}

const valueLabels = ['v', 'vs', 'vb', 'vd'] as const;

/** A record may do nothing but carry base fields (RFC 8428 §5.1.7). */
const onlyBase = (record: Fields): boolean =>
  Object.keys(record).some((label) => Object.hasOwn(baseLabels, label)) &&
  !Object.keys(record).some((label) => Object.hasOwn(labels, label));

const hasMeasurement = (record: Fields): boolean =>
  Object.hasOwn(record, 's') || valueLabels.some((label) => Object.hasOwn(record, label));

/** JSON knows no infinity; a number too great for a double is read as one. */
const isA = (type: 'string' | 'number' | 'boolean', value: unknown): boolean =>
  typeof value === type && (type !== 'number' || Number.isFinite(value));

function resolved(record: Fields, base: Base, nowS: number): SenmlRecord {
  const { n = '', u = base.bu, t = 0, ut, v, vs, vb, vd, s } = record as Partial<SenmlRecord>;
  const told = base.bt + t;
  const ownTime = told >= FIRST_ABSOLUTE;
  return {
    n: base.bn + n,
    ...(u === undefined ? {} : { u }),
    t: ownTime ? told : nowS + told,
    ownTime,
    ...(v === undefined ? {} : { v: base.bv + v }),
    ...(vs === undefined ? {} : { vs }),
    ...(vb === undefined ? {} : { vb }),
    ...(vd === undefined ? {} : { vd }),
    ...(s === undefined ? {} : { s: base.bs + s }),
    ...(ut === undefined ? {} : { ut }),
  };
}

/** RFC 8428 §5: the e of an exponent is a small letter; outside strings JSON has no other E. */
export function hasCapitalExponent(text: string): boolean {
  return text.includes('E') && text.replace(/"(?:[^"\\]|\\.)*"/gs, '').includes('E');
}
