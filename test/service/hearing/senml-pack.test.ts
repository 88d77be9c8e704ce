import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { pointedAt, pointerTokens } from '../../../collector-service/ingest/json-pointer.ts';
import { senmlForm } from '../../../collector-service/ingest/senml.ts';
import {
  isSenmlName,
  resolvePack,
  type SenmlRecord,
} from '../../../collector-service/ingest/senml-pack.ts';
import { cases } from '../../physics/reference.ts';

const ARRIVAL = 1_800_000_000_000; // ms

/** RFC 8428 gives times in seconds; half of a microsecond is the rounding of a double there. */
const TIME_TOLERANCE = 1e-6; // s

test('packs are resolved as RFC 8428 and its authors do it', () => {
  const known = cases<
    { name: string; pack: unknown; now_unix_s: number },
    { records: Partial<SenmlRecord>[] }
  >('senml', 'resolve');
  expect(known).toHaveLength(25);
  let largest = 0;
  for (const { inputs, expected } of known) {
    const pack = resolvePack(inputs.pack, inputs.now_unix_s);
    if ('why' in pack) throw new Error(`${inputs.name}: ${pack.why}`);
    expect(pack.refused, inputs.name).toEqual([]);
    expect(pack.records.map(withoutTime), inputs.name).toEqual(expected.records.map(withoutTime));
    pack.records.forEach(({ t }, i) => {
      largest = Math.max(largest, Math.abs(t - expected.records[i]!.t!));
    });
  }
  console.info(`resolved times: n 25 packs, largest error ${largest} s, limit ${TIME_TOLERANCE} s`);
  expect(largest).toBeLessThanOrEqual(TIME_TOLERANCE);
});

/** What is compared exactly: all but the time, and whether it was the pack's own. */
function withoutTime({ t: _t, ownTime: _own, ...rest }: Partial<SenmlRecord>) {
  return rest;
}

test('a time below 2^28 is none of its own, one from there on is', () => {
  const own = (t: number) => {
    const pack = resolvePack([{ n: 'x', t, v: 1 }], ARRIVAL / 1000);
    return 'why' in pack ? null : pack.records[0]!.ownTime;
  };
  expect([own(-30), own(0), own(2 ** 28 - 1), own(2 ** 28)]).toEqual([false, false, false, true]);
});

test('names are those that RFC 8428 allows', () => {
  const known = cases<{ concatenated_name: string }, { valid: boolean }>('senml', 'names');
  expect(known).toHaveLength(15);
  for (const { inputs, expected } of known) {
    expect(isSenmlName(inputs.concatenated_name), inputs.concatenated_name).toBe(expected.valid);
  }
});

/** How many readings each pack of the RFC's rules brings on a topic that names the point. */
const broughtByName: Record<string, number> = {
  'label ending in _ that the receiver does not know': 0,
  'unknown label without trailing _': 1,
  'version newer than 10': 0,
  'version 10 stated': 1,
  'two versions in one pack': 0,
  'two value fields': 0,
  'no value and no sum, but base fields only': 0,
  'sum without value': 0,
  'upper-case E in the exponent': 0,
  'lower-case e in the exponent': 1,
  'root is an object': 0,
  'standard base64 padding in vd': 0,
  'vd content': 0,
  'v given as a string': 0,
  'bver not an integer': 0,
};

test('packs are accepted and refused where RFC 8428 says so', () => {
  const known = cases<{ name: string; pack: unknown }, { outcome: string }>('senml', 'acceptance');
  expect(known.map(({ inputs }) => inputs.name).sort()).toEqual(Object.keys(broughtByName).sort());
  for (const { inputs, expected } of known) {
    const { name, pack } = inputs;
    const document = typeof pack === 'string' ? JSON.parse(pack) : pack;
    const resolved = resolvePack(document, ARRIVAL / 1000);
    const isAccepted = !('why' in resolved) && resolved.refused.length === 0;
    // The e of an exponent is a matter of the text, which the resolved pack no longer shows.
    if (name !== 'upper-case E in the exponent') {
      expect(isAccepted, name).toBe(/accepted/.test(expected.outcome));
    }
    const text = Buffer.from(typeof pack === 'string' ? pack : JSON.stringify(pack));
    const place = { kind: 'point', tub: 'kowhai', point: 'tub/temperature' } as const;
    const readings = senmlForm.read(text, place, ARRIVAL).filter((found) => !('why' in found));
    expect(readings, name).toHaveLength(broughtByName[name]!);
  }
});

test('% of SenML is a ratio and suits no point here', () => {
  const [trap] = cases<{ record: object }, object>('senml', 'percent');
  const pack = Buffer.from(JSON.stringify([{ ...trap!.inputs.record, n: 'pump/running' }]));
  expect(senmlForm.read(pack, { kind: 'tub', tub: 'kowhai' }, ARRIVAL)).toEqual([
    { why: 'the unit does not suit the point' },
  ]);
});

const document = JSON.parse(
  readFileSync(new URL('../../physics/reference/senml.json', import.meta.url), 'utf8'),
).document as unknown;

test('JSON Pointers point where RFC 6901 says', () => {
  const known = cases<
    { pointer?: string; uri_fragment?: string },
    { value?: unknown; pointer?: string; error?: string }
  >('senml', 'pointers');
  expect(known).toHaveLength(32);
  for (const { inputs, expected } of known) {
    // A fragment is a pointer after percent-decoding (RFC 6901 §6); the set-up takes pointers alone.
    const pointer = inputs.pointer ?? decodeURIComponent(inputs.uri_fragment!.slice(1));
    if (expected.pointer !== undefined) expect(pointer).toBe(expected.pointer);
    const tokens = pointerTokens(pointer);
    const value = tokens === null ? undefined : pointedAt(document, tokens);
    if (expected.error === undefined) expect(value, pointer).toEqual(expected.value);
    else expect(value, `${pointer}: ${expected.error}`).toBeUndefined();
  }
});
