import { pointType } from '../../model/points.ts';
import { convertTo, isSenmlUnit } from '../../model/units.ts';
import {
  firstByte,
  jsonOf,
  type PayloadForm,
  type Place,
  type Refusal,
  type Told,
  textOf,
} from './payload-form.ts';
import { hasCapitalExponent, isSenmlName, resolvePack, type SenmlRecord } from './senml-pack.ts';

/**
 * SenML JSON (RFC 8428), told by its first character. On `sunsteep/<tub>` the resolved name of a
 * record is the point. On `sunsteep/<tub>/<point>` the topic names the point: there a record may have
 * no name, the point's, or one of its sensor's own, as long as the pack speaks of nothing else.
 */
export const senmlForm: PayloadForm = {
  name: 'SenML',
  fits: (payload, place) => place.kind !== 'wired' && firstByte(payload) === 0x5b, // [
  read(payload, place, arrival) {
    const text = textOf(payload);
    if (text === null) return [{ why: 'the payload is not valid UTF-8' }];
    const json = jsonOf(text);
    if ('why' in json) return [json];
    if (hasCapitalExponent(text)) return [{ why: 'SenML writes an exponent with a small e' }];
    const pack = resolvePack(json.document, arrival / 1000);
    if ('why' in pack) return [pack];
    const names = new Set(pack.records.map((record) => record.n));
    return [
      ...pack.refused,
      ...pack.records.map((record) => {
        const point = pointOf(record.n, place, names);
        return typeof point === 'string' ? told(record, tubOf(place), point) : point;
      }),
    ];
  },
};

const tubOf = (place: Place): string => (place.kind === 'wired' ? '' : place.tub);

function pointOf(name: string, place: Place, names: ReadonlySet<string>): string | Refusal {
  if (place.kind === 'point' && (name === '' || name === place.point)) return place.point;
  if (!isSenmlName(name)) return { why: 'the name of the SenML record breaks RFC 8428' };
  if (place.kind === 'tub') {
    return pointType(name) === null ? { why: 'unknown point' } : name;
  }
  // The one name of a whole pack may be what the sensor calls itself, but not another point.
  if (place.kind === 'point' && names.size === 1 && pointType(name) === null) return place.point;
  return { why: 'the SenML record has another name than the point in the topic' };
}

function told(record: SenmlRecord, tub: string, point: string): Told | Refusal {
  const { kind } = pointType(point)!;
  if (record.u !== undefined && !isSenmlUnit(record.u)) {
    return { why: 'the unit is not one of SenML' };
  }
  const sent = sentValue(record, kind === 'flag');
  if (typeof sent !== 'number') return sent;
  const value = convertTo(kind, record.u, sent);
  if (value === null) return { why: 'the unit does not suit the point' };
  return { tub, point, value, t: Math.round(record.t * 1000), ownTime: record.ownTime };
}

function sentValue({ v, vb }: SenmlRecord, isFlag: boolean): number | Refusal {
  if (v !== undefined) return v;
  if (vb !== undefined) return isFlag ? Number(vb) : { why: 'the point is not one of 0 and 1' };
  return { why: 'the SenML record has no number' };
}
