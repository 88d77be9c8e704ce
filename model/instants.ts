/** Instants as they can be written: ISO 8601 has four digits for a year (RFC 3339 §5.6). */

const FIRST = Date.parse('0000-01-01T00:00:00Z');
const LAST = Date.parse('9999-12-31T23:59:59.999Z');

/**
 * Whether an instant keeps within four digits when it is told as UTC: an offset may have led beyond.
 *
 * @param t  [ms since 1970-01-01 UTC]
 */
export const isWritable = (t: number): boolean => t >= FIRST && t <= LAST;
