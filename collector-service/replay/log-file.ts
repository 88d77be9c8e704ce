import type { z } from 'zod';
import { filedLogEntrySchema, type LogEntry, logEntry } from '../../model/owner-log.ts';
import type { Fault } from '../errors.ts';
import { faultsOf } from '../serve/checks.ts';

/** One entry as it stands in a file, and where: by the tub that its list belongs to, if to one. */
interface Filed {
  path: string;
  entry: unknown;
  tub?: string;
}

/**
 * The owner's log of each tub out of a file's document: a list of entries, `{ "items": [...] }`, or
 * `{ "tubs": { "<tub>": [...] } }`. An entry may name its tub, and otherwise belongs to the only one.
 *
 * @param ids  the tubs of the set-up
 */
export function checkLog(
  document: unknown,
  ids: readonly string[],
): { logs: Map<string, LogEntry[]> } | { faults: Fault[] } {
  const faults: Fault[] = [];
  const logs = new Map<string, LogEntry[]>();
  for (const { path, entry, tub } of filedIn(document, faults)) {
    const { data, error } = filedLogEntrySchema.safeParse(entry);
    if (error) {
      faults.push(...within(path, error));
      continue;
    }
    const { id, tub: named, ...said } = data;
    const [owner, why] = ownerOf(tub, named, ids);
    if (why !== null) faults.push({ path: named === undefined ? path : `${path}/tub`, why });
    else logs.set(owner, [...(logs.get(owner) ?? []), logEntry(id ?? path, said)]);
  }
  return faults.length > 0 ? { faults } : { logs };
}

const within = (path: string, error: z.ZodError): Fault[] =>
  faultsOf(error).map((fault) => ({ path: path + fault.path, why: fault.why }));

function filedIn(document: unknown, faults: Fault[]): Filed[] {
  if (Array.isArray(document)) return entriesOf(document, '');
  const { items, tubs, ...others } = isObject(document) ? document : {};
  const known = Object.keys(others).filter((key) => key !== 'next').length === 0;
  if (known && Array.isArray(items) && tubs === undefined) return entriesOf(items, '/items');
  if (known && isObject(tubs) && items === undefined) {
    return Object.entries(tubs).flatMap(([tub, list]) => {
      const path = `/tubs/${tub.replaceAll('~', '~0').replaceAll('/', '~1')}`;
      if (Array.isArray(list)) return entriesOf(list, path, tub);
      faults.push({ path, why: 'expected a list of entries' });
      return [];
    });
  }
  faults.push({
    path: '',
    why: 'expected a list of entries, { "items": [...] } or { "tubs": { "<tub>": [...] } }',
  });
  return [];
}

const entriesOf = (list: readonly unknown[], path: string, tub?: string): Filed[] =>
  list.map((entry, i) => ({ path: `${path}/${i}`, entry, ...(tub !== undefined && { tub }) }));

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Whose entry it is, or why that cannot be told. */
function ownerOf(
  listed: string | undefined,
  named: string | undefined,
  ids: readonly string[],
): [string, null] | ['', string] {
  const tub = named ?? listed;
  if (tub === undefined) {
    if (ids.length === 1) return [ids[0]!, null];
    return ['', 'says not whose it is: add its "tub", since the set-up has several'];
  }
  if (listed !== undefined && listed !== tub) return ['', `stands in the list of ${listed}`];
  if (!ids.includes(tub)) return ['', `the set-up has no tub ${JSON.stringify(tub)}`];
  return [tub, null];
}
