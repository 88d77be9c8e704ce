import { readFileSync } from 'node:fs';

/** One published value: what goes in and what came out elsewhere. Units stand in the key names. */
export interface Case<Inputs, Expected> {
  inputs: Inputs;
  expected: Expected;
}

interface ReferenceFile {
  source: string[];
  groups: Record<string, { how: string; cases: Case<unknown, unknown>[] }>;
}

/** The cases of one group of a file in `reference/`; each file names its sources. */
export function cases<Inputs, Expected>(file: string, group: string): Case<Inputs, Expected>[] {
  const path = new URL(`reference/${file}.json`, import.meta.url);
  const { groups } = JSON.parse(readFileSync(path, 'utf8')) as ReferenceFile;
  const found = groups[group];
  if (!found) throw new Error(`${file}.json has no group "${group}", only ${Object.keys(groups)}`);
  return found.cases as Case<Inputs, Expected>[];
}
