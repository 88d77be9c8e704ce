import { isTubName, type PointKind, pointType } from '../../model/points.ts';
import { convertTo } from '../../model/units.ts';
import { isoTime } from './iso-time.ts';
import { pointedAt } from './json-pointer.ts';
import {
  jsonOf,
  type PayloadForm,
  type Refusal,
  type Told,
  textOf,
  type Wire,
} from './payload-form.ts';
import { plainNumber } from './plain-number.ts';
import type { CompiledWiring } from './wiring.ts';

/** Any payload on any other topic, read as the set-up's wiring says. */
export const wiredForm: PayloadForm = {
  name: 'wired',
  fits: (_payload, place) => place.kind === 'wired',
  read(payload, place, arrival) {
    if (place.kind !== 'wired') return [];
    const text = textOf(payload);
    if (text === null) return [{ why: 'the payload is not valid UTF-8' }];
    const needsJson = place.wires.some(
      ({ wiring }) => wiring.pointer !== null || wiring.timePointer !== null,
    );
    const json = needsJson ? jsonOf(text) : { document: undefined };
    return place.wires.map((wire) => readWire(wire, text, json, arrival));
  },
};

function readWire(
  { tub, point, wiring }: Wire,
  text: string,
  json: { document: unknown } | Refusal,
  arrival: number,
): Told | Refusal {
  const type = pointType(point);
  if (!isTubName(tub)) return { why: 'the topic gives a name that no tub can have' };
  if (type === null) return { why: 'unknown point' };
  if ('why' in json && (wiring.pointer !== null || wiring.timePointer !== null)) return json;
  const document = 'why' in json ? undefined : json.document;
  const raw =
    wiring.pointer === null ? plainNumber(text, type.kind) : sent(document, wiring, type.kind);
  if (raw === null) return { why: 'what the wiring points at is not a finite number' };
  const value = convertTo(type.kind, wiring.unit, raw * wiring.scale + wiring.offset);
  if (value === null) return { why: 'the unit does not suit the point' };
  const t = wiring.timePointer === null ? arrival : timeIn(document, wiring);
  if (t === null) return { why: 'what the wiring points at is not a time' };
  return { tub, point, value, t, ownTime: wiring.timePointer !== null };
}

/** Many boards put their numbers in strings, and their switches in booleans or words. */
function sent(document: unknown, wiring: CompiledWiring, kind: PointKind): number | null {
  const value = pointedAt(document, wiring.pointer ?? []);
  if (typeof value === 'number') return Number.isFinite(value) ? value : null;
  if (typeof value === 'boolean') return kind === 'flag' ? Number(value) : null;
  return typeof value === 'string' ? plainNumber(value, kind) : null;
}

/** Without a format, a number is Unix time in seconds and a text ISO 8601. */
function timeIn(document: unknown, { timePointer, timeFormat }: CompiledWiring): number | null {
  const value = pointedAt(document, timePointer ?? []);
  const format = timeFormat ?? (typeof value === 'number' ? 'unix-s' : 'iso8601');
  if (format === 'iso8601') return typeof value === 'string' ? isoTime(value) : null;
  const number = typeof value === 'string' ? plainNumber(value, 'temperature') : value;
  if (typeof number !== 'number' || !Number.isFinite(number)) return null;
  return Math.round(format === 'unix-s' ? number * 1000 : number);
}
