import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from '../service/live/program.ts';

/** The documents that people read, and what stands in them to be held to the code. */

export interface Document {
  /** From the root, such as `docs/setup.md`. */
  name: string;
  text: string;
}

export const documentNames: readonly string[] = [
  'README.md',
  'DEVELOPERS.md',
  ...readdirSync(join(root, 'docs'))
    .filter((name) => name.endsWith('.md'))
    .map((name) => `docs/${name}`),
];

export function documentOf(name: string): Document {
  return { name, text: readFileSync(join(root, name), 'utf8') };
}

export const documents = (): Document[] => documentNames.map(documentOf);

/** The contents of the fenced blocks in a language. */
export function blocks(text: string, language: string): string[] {
  const fences = text.matchAll(/^```(\S*)\n([\s\S]*?)^```$/gm);
  return [...fences].filter(([, marked]) => marked === language).map(([, , content]) => content!);
}

/** What somebody would type: a line each of the blocks marked `sh`. */
export const commandsIn = (text: string): string[] =>
  blocks(text, 'sh').flatMap((block) =>
    block
      .replaceAll('\\\n', ' ')
      .split('\n')
      .filter((line) => line.trim() !== ''),
  );

/** Every row of every table, as its cells; rules and headings of tables are rows too. */
export function rows(text: string): string[][] {
  return text
    .split('\n')
    .filter((line) => line.startsWith('|'))
    .map((line) =>
      line
        .slice(1, line.lastIndexOf('|'))
        .split(/(?<!\\)\|/)
        .map((cell) => cell.trim()),
    );
}

/** The rows whose first cell is nothing but a name in code, by that name. */
export function rowsByName(text: string): Map<string, string[]> {
  const named = rows(text).flatMap((cells): [string, string[]][] => {
    const name = /^`([^`]+)`$/.exec(cells[0] ?? '')?.[1];
    return name === undefined ? [] : [[name, cells]];
  });
  return new Map(named);
}

/** The anchors that headings have on the pages where such documents are read. */
export function anchorsIn(text: string): Set<string> {
  const bare = text.replace(/^```[\s\S]*?^```$/gm, '');
  const headings = [...bare.matchAll(/^#+ (.*)$/gm)].map(([, heading]) => heading!);
  return new Set(
    headings.map((heading) =>
      heading
        .toLowerCase()
        .replace(/[^\p{L}\p{N} _-]/gu, '')
        .replaceAll(' ', '-'),
    ),
  );
}

export const isThere = (path: string): boolean => existsSync(join(root, path));
