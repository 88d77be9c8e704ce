import { type PointKind, pointType } from '../../model/points.ts';
import { firstByte, type PayloadForm, type Place, textOf } from './payload-form.ts';

/** Longest text that is looked at as a number [characters]. */
const LONGEST_NUMBER = 400;

// Each part can match in one way alone, so that a long text costs no more than its length.
const decimal = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;

const switchWords: Record<string, number> = { on: 1, true: 1, off: 0, false: 0 };

/**
 * A decimal number as text, e.g. `37.4` or `1.2e3`, white space around it aside; for a 0/1 point
 * also on, off, true and false in any case. null for any other text, and for what is not finite.
 */
export function plainNumber(text: string, kind: PointKind): number | null {
  const bare = text.trim();
  if (bare.length > LONGEST_NUMBER) return null;
  if (decimal.test(bare)) {
    const value = Number(bare);
    return Number.isFinite(value) ? value : null;
  }
  if (kind !== 'flag') return null;
  const word = bare.toLowerCase();
  return Object.hasOwn(switchWords, word) ? switchWords[word]! : null;
}

/** `37.4` on `sunsteep/<tub>/<point>`, in the point's own unit, stamped on arrival. */
export const plainNumberForm: PayloadForm = {
  name: 'plain number',
  fits: (_payload, place) => place.kind !== 'wired',
  read(payload, place, arrival) {
    const why = refusedOutright(payload, place);
    if (why !== null) return [{ why }];
    const { tub, point } = place as Place & { kind: 'point' };
    const value = plainNumber(textOf(payload) ?? '', pointType(point)!.kind);
    if (value === null) return [{ why: 'the payload is not a finite number' }];
    return [{ tub, point, value, t: arrival, ownTime: false }];
  },
};

function refusedOutright(payload: Uint8Array, place: Place): string | null {
  if (payload.length === 0) return 'the payload is empty';
  if (firstByte(payload) === 0x7b) {
    return 'a JSON object is neither a number nor SenML, which is an array';
  }
  return place.kind === 'tub'
    ? 'a number needs a topic that names its point; here a SenML pack is expected'
    : null;
}
