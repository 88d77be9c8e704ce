/** JSON Pointer (RFC 6901), to read with: `-` and whatever is not there refer to nothing. */

/** The reference tokens of a pointer such as `/ds/0/t`, or null where it is none (RFC 6901 §3). */
export function pointerTokens(pointer: string): string[] | null {
  if (pointer === '') return [];
  if (!pointer.startsWith('/') || /~(?![01])/.test(pointer)) return null;
  // ~1 first, then ~0, so that ~01 stays the name "~1" (RFC 6901 §4).
  return pointer
    .slice(1)
    .split('/')
    .map((token) => token.replaceAll('~1', '/').replaceAll('~0', '~'));
}

const arrayIndex = /^(0|[1-9]\d*)$/;

/** What the tokens point at in a parsed document, or undefined for nothing. */
export function pointedAt(document: unknown, tokens: readonly string[]): unknown {
  let value = document;
  for (const token of tokens) {
    if (typeof value !== 'object' || value === null) return undefined;
    if (Array.isArray(value) && !arrayIndex.test(token)) return undefined;
    // Own members alone: a pointer to /constructor finds nothing that the payload did not bring.
    if (!Object.hasOwn(value, token)) return undefined;
    value = (value as Record<string, unknown>)[token];
  }
  return value;
}
