import type { Setup, TubSetup } from '../../model/setup.ts';

/**
 * Changes to the set-up by where they belong: JSON Pointers (RFC 6901), from the document's top for what
 * the whole house shares, from the tub's for everything else. So they can be put onto whatever version
 * is in force when they arrive.
 */

/** What a place is to hold; without a value nothing, which brings the default back. */
export type Change = { value?: unknown };
export type Changes = Readonly<Record<string, Change>>;

type Node = Record<string, unknown>;

export const pointer = (...keys: string[]): string =>
  keys.map((key) => `/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');

const keysOf = (path: string): string[] =>
  path
    .split('/')
    .slice(1)
    .map((key) => key.replaceAll('~1', '/').replaceAll('~0', '~'));

/** Whether a path belongs to the house rather than to one tub. */
const isHouse = (path: string): boolean => path.startsWith('/notify/');

export const tubIn = (setup: Setup, tub: string): TubSetup | undefined =>
  setup.tubs.find(({ id }) => id === tub);

/** What stands at a path; undefined where nothing was said. */
export function valueAt(document: unknown, path: string): unknown {
  return keysOf(path).reduce<unknown>(
    (node, key) => (isNode(node) && Object.hasOwn(node, key) ? node[key] : undefined),
    document,
  );
}

const isNode = (node: unknown): node is Node =>
  typeof node === 'object' && node !== null && !Array.isArray(node);

/** What the set-up says of a tub at a path, or of the house. */
export const saidAt = (setup: Setup, tub: string, path: string): unknown =>
  valueAt(isHouse(path) ? setup : tubIn(setup, tub), path);

/** The set-up with all of the changes; a tub that it does not know yet is added. */
export function withChanges(setup: Setup, tub: string, changes: Changes): Setup {
  const next = structuredClone(setup);
  if (!tubIn(next, tub)) next.tubs.push({ id: tub } as TubSetup);
  for (const [path, change] of Object.entries(changes)) {
    const root = isHouse(path) ? next : tubIn(next, tub)!;
    put(root as unknown as Node, keysOf(path), change.value);
  }
  return next;
}

/** Whatever is left empty goes too: an object that has to hold something is refused without it. */
function put(node: Node, [key, ...rest]: string[], value: unknown): void {
  if (key === undefined) return;
  if (rest.length === 0) {
    if (value === undefined) delete node[key];
    else node[key] = value;
    return;
  }
  const within = isNode(node[key]) ? (node[key] as Node) : {};
  put(within, rest, value);
  if (Object.keys(within).length === 0) delete node[key];
  else node[key] = within;
}

/** The place of a fault as the changes name it; null where it lies in none of theirs. */
export function placeOf(fault: string, setup: Setup, tub: string): string | null {
  if (isHouse(fault)) return fault;
  const known = setup.tubs.findIndex(({ id }) => id === tub);
  const own = `/tubs/${known < 0 ? setup.tubs.length : known}/`;
  return fault.startsWith(own) ? fault.slice(own.length - 1) : null;
}
