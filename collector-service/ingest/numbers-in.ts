import { plainNumber } from './plain-number.ts';

/** A number in a payload that nobody has wired yet. */
export interface NumberIn {
  /** JSON Pointer (RFC 6901) to it; null where the payload is the number. */
  pointer: string | null;
  value: number;
  /** It came as on, off, true or false. */
  isSwitch: boolean;
}

/** Most numbers of one payload that are told, and how deep in it they may be. */
const MOST = 40;
const DEEPEST = 8;
/** A payload longer than this is not looked into. [bytes] */
const LONGEST = 16 * 1024;

const utf8 = new TextDecoder('utf-8', { fatal: true });

/** The numbers in a payload: itself, or wherever they are in a JSON document, in its order. */
export function numbersIn(payload: Uint8Array): NumberIn[] {
  if (payload.length === 0 || payload.length > LONGEST) return [];
  let text: string;
  let document: unknown;
  try {
    text = utf8.decode(payload);
    document = JSON.parse(text);
  } catch {
    const number = numberOf(text! ?? '');
    return number ? [{ pointer: null, ...number }] : [];
  }
  const found: NumberIn[] = [];
  if (typeof document !== 'object') {
    const number = numberOf(document);
    return number ? [{ pointer: null, ...number }] : [];
  }
  walk(document, '', found);
  return found;
}

function walk(value: unknown, pointer: string, found: NumberIn[]): void {
  if (found.length >= MOST) return;
  if (typeof value !== 'object') {
    const number = numberOf(value);
    if (number) found.push({ pointer, ...number });
    return;
  }
  if (value === null || pointer.split('/').length > DEEPEST) return;
  for (const [key, inner] of Object.entries(value)) {
    walk(inner, `${pointer}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`, found);
  }
}

function numberOf(value: unknown): Omit<NumberIn, 'pointer'> | null {
  if (typeof value === 'number') return Number.isFinite(value) ? { value, isSwitch: false } : null;
  if (typeof value === 'boolean') return { value: Number(value), isSwitch: true };
  if (typeof value !== 'string') return null;
  const number = plainNumber(value, 'temperature');
  if (number !== null) return { value: number, isSwitch: false };
  const state = plainNumber(value, 'flag');
  return state === null ? null : { value: state, isSwitch: true };
}
