/** Most bytes of an unreadable payload that are kept. */
const KEPT_BYTES = 200;

/** Most characters of a topic that are kept with an unreadable payload. */
const KEPT_TOPIC = 200;

/** Control, format and unassigned characters, and line ends: they could change how a list is read. */
const notPrintable = /[\p{C}\p{Zl}\p{Zp}]/u;

/** The first 200 bytes as text: what is printable stands as it is, every other byte as \xNN. */
export function escapedText(payload: Uint8Array): string {
  const bytes = payload.subarray(0, KEPT_BYTES);
  let text = '';
  for (let at = 0; at < bytes.length; ) {
    const byte = bytes[at]!;
    if (byte < 0x80) {
      text += byte >= 0x20 && byte < 0x7f ? String.fromCharCode(byte) : escaped(byte);
      at++;
    } else {
      const length = characterLength(bytes, at);
      const character = utf8.decode(bytes.subarray(at, at + length));
      const isShown = length > 0 && !notPrintable.test(character);
      const end = at + Math.max(1, length);
      text += isShown ? character : Array.from(bytes.subarray(at, end), escaped).join('');
      at = end;
    }
  }
  return text;
}

/** A topic as it is kept: short, and printable. */
export function escapedTopic(topic: string): string {
  const short = topic.length > KEPT_TOPIC ? `${topic.slice(0, KEPT_TOPIC)}…` : topic;
  return notPrintable.test(short)
    ? short.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, escapedCharacter)
    : short;
}

// Byte order marks are kept apart: without ignoreBOM the decoder would swallow one.
const utf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });
const encoder = new TextEncoder();

const escaped = (byte: number): string => `\\x${byte.toString(16).padStart(2, '0')}`;

const escapedCharacter = (character: string): string =>
  Array.from(encoder.encode(character), escaped).join('');

/** Bytes of the valid UTF-8 character of several that begins at `at` (RFC 3629 §4), or 0 for none. */
function characterLength(bytes: Uint8Array, at: number): number {
  const lead = bytes[at]!;
  const length = lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
  if (lead < 0xc2 || lead > 0xf4 || at + length > bytes.length) return 0;
  try {
    utf8.decode(bytes.subarray(at, at + length));
    return length;
  } catch {
    return 0;
  }
}
