import type { CompiledWiring } from './wiring.ts';

/** What a payload says of one point, before the value and its time are trusted. */
export interface Told {
  tub: string;
  point: string;
  /** In the point's own unit. */
  value: number;
  /** When the value was so [ms since 1970-01-01 UTC]. */
  t: number;
  /** The payload names the instant by itself; otherwise `t` hangs on when the message arrived. */
  ownTime: boolean;
}

/** Why something is not a reading, in words that hold nothing of the payload's own. */
export interface Refusal {
  why: string;
}

/** What the topic says of a payload: one point, a whole tub, or what the set-up's wiring makes of it. */
export type Place =
  | { kind: 'point'; tub: string; point: string }
  | { kind: 'tub'; tub: string }
  | { kind: 'wired'; wires: readonly Wire[] };

/** A wiring whose `+` have been filled in from the topic of a message. */
export interface Wire {
  tub: string;
  point: string;
  wiring: CompiledWiring;
}

/** One way to write values into a payload. */
export interface PayloadForm {
  name: string;
  /** Whether a payload that came to this place is to be read in this form. */
  fits(payload: Uint8Array, place: Place): boolean;
  /** Never throws; `arrival` is ms since 1970-01-01 UTC. */
  read(payload: Uint8Array, place: Place, arrival: number): (Told | Refusal)[];
}

/** Payloads over this are refused without a look [bytes]: 64 KiB. */
export const LONGEST_PAYLOAD = 65_536;

const utf8 = new TextDecoder('utf-8', { fatal: true });

/** The payload as text, or null where it is not UTF-8. */
export function textOf(payload: Uint8Array): string | null {
  try {
    return utf8.decode(payload);
  } catch {
    return null;
  }
}

/** The payload as a JSON document, or why it is none. */
export function jsonOf(text: string): { document: unknown } | Refusal {
  try {
    return { document: JSON.parse(text) };
  } catch {
    return { why: 'the payload is not valid JSON' };
  }
}

/** JSON's white space (RFC 8259 §2) before what tells the form. */
export function firstByte(payload: Uint8Array): number | undefined {
  let at = 0;
  while (
    at < payload.length &&
    (payload[at] === 0x20 || payload[at] === 0x0a || payload[at] === 0x0d || payload[at] === 0x09)
  ) {
    at++;
  }
  return payload[at];
}
