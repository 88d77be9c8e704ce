/** Data of a shape that nobody prescribes: how deep it may go, and what may be called what in it. */

/** Names that mean something to the language itself. */
export const reservedNames: ReadonlySet<string> = new Set([
  '__proto__',
  'constructor',
  'prototype',
]);

/**
 * Whether lists and objects lie no deeper than so within each other, and no field bears a reserved name.
 * It goes no deeper itself, so that no data can exhaust the stack.
 */
export function isPlainData(value: unknown, levels: number): boolean {
  if (typeof value !== 'object' || value === null) return true;
  if (levels === 0) return false;
  return Object.entries(value).every(
    ([name, inner]) => !reservedNames.has(name) && isPlainData(inner, levels - 1),
  );
}
