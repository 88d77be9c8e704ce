import { LONGEST_PAYLOAD } from './payload-form.ts';

/**
 * The limit in front of an MQTT parser, which would gather packets of any size.
 *
 * A PUBLISH keeps one byte more than a payload may have, and loses the rest: so it can still be told
 * from one that fits, be refused for its size, and be acknowledged. Its variable header (topic, packet
 * identifier and, in MQTT 5, properties) is never cut. Any other packet of that size ends the
 * connection.
 */

/** Bytes that a payload over the limit keeps. */
export const CUT_PAYLOAD = LONGEST_PAYLOAD + 1;

/** Packets up to this remaining length go on untouched [bytes]. */
const SMALL = LONGEST_PAYLOAD;

/** Longest MQTT 5 properties of a PUBLISH [bytes]. */
const LONGEST_PROPERTIES = 65_536;

const PUBLISH = 3;

export class PacketRefused extends Error {
  override name = 'PacketRefused';
  readonly code = 'PACKET_REFUSED';
}

/** What the first bytes of a packet tell. */
type Verdict =
  /** This many bytes of it must be there to tell. */
  | { need: number }
  /** All of it goes on as it came: so many bytes. */
  | { pass: number }
  /** Only the head, and as much of the payload as may be. */
  | { head: number; variable: number; payload: number };

export class PacketGuard {
  private readonly version: 4 | 5;
  /** Bytes of the packet under way that still go on, and then those that are left out. */
  private passing = 0;
  private leaving = 0;
  /** The first bytes of a packet of which more must be seen. */
  private held: Buffer[] = [];
  private heldLength = 0;
  private need = 0;

  /** @param version  of MQTT: 4 for 3.1.1, 5 for 5 */
  constructor(version: 4 | 5) {
    this.version = version;
  }

  /** What of the next bytes goes on, whole and in order; throws PacketRefused to end the connection. */
  pass(chunk: Buffer): Buffer[] {
    const out: Buffer[] = [];
    let at = 0;
    let from = 0; // start of what goes on untouched
    const flush = () => {
      if (at > from) out.push(chunk.subarray(from, at));
    };
    while (at < chunk.length) {
      if (this.passing > 0) {
        const n = Math.min(this.passing, chunk.length - at);
        this.passing -= n;
        at += n;
      } else if (this.leaving > 0) {
        flush();
        const n = Math.min(this.leaving, chunk.length - at);
        this.leaving -= n;
        at += n;
        from = at;
      } else if (this.heldLength > 0) {
        at += this.hold(chunk.subarray(at, at + this.need - this.heldLength));
        from = at;
        if (this.heldLength === this.need) out.push(...this.judgeHeld());
      } else {
        const verdict = judge(chunk.subarray(at), this.version);
        if ('pass' in verdict) this.passing = verdict.pass;
        else {
          flush();
          if ('need' in verdict) {
            this.need = verdict.need;
            at += this.hold(chunk.subarray(at));
          } else {
            out.push(cutHead(chunk.subarray(at, at + verdict.head), verdict.variable));
            this.cut(verdict.payload);
            at += verdict.head;
          }
          from = at;
        }
      }
    }
    flush();
    return out;
  }

  private hold(bytes: Buffer): number {
    this.held.push(bytes);
    this.heldLength += bytes.length;
    return bytes.length;
  }

  private judgeHeld(): Buffer[] {
    const bytes = Buffer.concat(this.held);
    const verdict = judge(bytes, this.version);
    if ('need' in verdict) {
      this.held = [bytes];
      this.need = verdict.need;
      return [];
    }
    this.held = [];
    this.heldLength = 0;
    if ('pass' in verdict) {
      this.passing = verdict.pass - bytes.length;
      return [bytes];
    }
    this.cut(verdict.payload);
    return [cutHead(bytes, verdict.variable)];
  }

  private cut(payload: number): void {
    this.passing = CUT_PAYLOAD;
    this.leaving = payload - CUT_PAYLOAD;
  }
}

/** Reads as much of a packet's beginning as is needed to tell whether it may go on. */
function judge(bytes: Buffer, version: 4 | 5): Verdict {
  const length = variableByteInteger(bytes, 1);
  if ('need' in length) return length;
  const { value: remaining, end: fixed } = length;
  if (remaining <= SMALL) return { pass: fixed + remaining };
  if (bytes[0]! >> 4 !== PUBLISH)
    throw new PacketRefused('a packet that is no PUBLISH is over 64 KiB');
  const variable = publishHeader(bytes, fixed, version);
  if ('need' in variable) return variable;
  const payload = fixed + remaining - variable.end;
  if (payload < 0) throw new PacketRefused('the header of a PUBLISH is longer than the packet');
  if (payload <= LONGEST_PAYLOAD) return { pass: fixed + remaining };
  return { head: variable.end, variable: variable.end - fixed, payload };
}

/** Where the variable header of a PUBLISH ends (MQTT 3.1.1 §3.3.2, MQTT 5 §3.3.2). */
function publishHeader(
  bytes: Buffer,
  start: number,
  version: 4 | 5,
): { end: number } | { need: number } {
  if (bytes.length < start + 2) return { need: start + 2 };
  const qos = (bytes[0]! >> 1) & 3;
  const end = start + 2 + bytes.readUInt16BE(start) + (qos > 0 ? 2 : 0);
  if (version === 4) return bytes.length < end ? { need: end } : { end };
  const properties = variableByteInteger(bytes, end);
  if ('need' in properties) return properties;
  if (properties.value > LONGEST_PROPERTIES) {
    throw new PacketRefused('the properties of a PUBLISH are over 64 KiB');
  }
  const last = properties.end + properties.value;
  return bytes.length < last ? { need: last } : { end: last };
}

/** MQTT 5 §1.5.5, and the remaining length of both versions: at most four bytes. */
function variableByteInteger(
  bytes: Buffer,
  start: number,
): { value: number; end: number } | { need: number } {
  let value = 0;
  for (let i = 0; i < 4; i++) {
    const byte = bytes[start + i];
    if (byte === undefined) return { need: start + i + 1 };
    value += (byte & 0x7f) * 128 ** i;
    if (byte < 0x80) return { value, end: start + i + 1 };
  }
  throw new PacketRefused('a length of more than four bytes');
}

/** The head of a cut PUBLISH, its remaining length written again. */
function cutHead(head: Buffer, variable: number): Buffer {
  const length: number[] = [];
  let rest = variable + CUT_PAYLOAD;
  do {
    length.push((rest & 0x7f) | (rest > 0x7f ? 0x80 : 0));
    rest >>= 7;
  } while (rest > 0);
  return Buffer.concat([Buffer.from([head[0]!, ...length]), head.subarray(head.length - variable)]);
}
