import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));

/** One import: of what, from where, and whether it is gone once types are taken away. */
interface Arrow {
  file: string;
  from: string;
  typesAlone: boolean;
}

const statement = /^(?:import|export)\s+(type\s)?(?:[^'";]*?\sfrom\s+)?'([^']+)'/gm;
const called = /\bimport\(\s*'([^']+)'\s*\)/g;

function arrowsOf(file: string, text: string): Arrow[] {
  const from = (name: string) =>
    name.startsWith('.') ? relative(root, join(root, dirname(file), name)) : name;
  return [
    ...[...text.matchAll(statement)].map(([, type, name]) => ({
      file,
      from: from(name!),
      typesAlone: type !== undefined,
    })),
    ...[...text.matchAll(called)].map(([, name]) => ({
      file,
      from: from(name!),
      typesAlone: false,
    })),
  ];
}

const arrowsIn = (folder: string): Arrow[] =>
  readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name))
    .flatMap((name) => {
      const file = join(folder, name);
      return arrowsOf(file, readFileSync(join(root, file), 'utf8'));
    });

/** Arrows that no rule allows, as a person would say them. */
const wrong = (arrows: readonly Arrow[], isRight: (arrow: Arrow) => boolean): string[] =>
  arrows.filter((arrow) => !isRight(arrow)).map(({ file, from }) => `${file} → ${from}`);

const within = (name: string, folder: string) => name.startsWith(`${folder}/`);
const isPackage = ({ from }: Arrow) =>
  !/^(model|web|collector-service|test|tools|\.\.)\//.test(from);

const model = arrowsIn('model');
const web = arrowsIn('web');
const service = arrowsIn('collector-service');

test('every import is seen', () => {
  const text = `import a from './a.ts';
import type { B } from '../model/b.ts';
import {
  type C,
  c,
} from 'c';
import './d.css';
export { e } from '../e.ts';
const f = await import('./f.ts');`;
  expect(arrowsOf('web/x.ts', text)).toEqual([
    { file: 'web/x.ts', from: 'web/a.ts', typesAlone: false },
    { file: 'web/x.ts', from: 'model/b.ts', typesAlone: true },
    { file: 'web/x.ts', from: 'c', typesAlone: false },
    { file: 'web/x.ts', from: 'web/d.css', typesAlone: false },
    { file: 'web/x.ts', from: 'e.ts', typesAlone: false },
    { file: 'web/x.ts', from: 'web/f.ts', typesAlone: false },
  ]);
  for (const arrows of [model, web, service]) expect(arrows.length).toBeGreaterThan(40);
});

test('model imports itself and zod alone, and in one file a library of time zones', () => {
  expect(
    wrong(
      model,
      ({ file, from }) =>
        within(from, 'model') ||
        from === 'zod' ||
        (from === 'temporal-polyfill' && file === 'model/civil-time.ts'),
    ),
  ).toEqual([]);
});

test('model asks neither the clock nor chance', () => {
  const asking = readdirSync(join(root, 'model'), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .filter((name) =>
      /\bDate\.now\(|new Date\(\)|Math\.random\(|\bperformance\.(now|mark)|\bprocess\.|Temporal\.Now/.test(
        readFileSync(join(root, 'model', name), 'utf8'),
      ),
    );
  expect(asking).toEqual([]);
});

test('collector-service imports nothing of the page or the tests', () => {
  expect(
    wrong(
      service,
      (arrow) =>
        within(arrow.from, 'collector-service') || within(arrow.from, 'model') || isPackage(arrow),
    ),
  ).toEqual([]);
});

test('the page imports nothing of the service, and of what brings zod only types', () => {
  const zodFiles = reaching('zod');
  expect(zodFiles).toContain('model/shapes.ts');
  expect(
    wrong(
      web,
      (arrow) =>
        arrow.from !== 'zod' &&
        (within(arrow.from, 'web') || within(arrow.from, 'model') || isPackage(arrow)) &&
        (arrow.typesAlone || !zodFiles.has(arrow.from)),
    ),
  ).toEqual([]);
});

test('time comes through the clock alone', () => {
  const asking = readdirSync(join(root, 'collector-service'), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .filter((name) =>
      /\bDate\.now\(|new Date\(\)/.test(
        readFileSync(join(root, 'collector-service', name), 'utf8'),
      ),
    );
  expect(asking).toEqual(['clock.ts']);
});

/** Files of the model that bring a package along when they run. */
function reaching(name: string): Set<string> {
  const reached = new Set([name]);
  for (let size = 0; size !== reached.size; ) {
    size = reached.size;
    for (const { file, from, typesAlone } of model) {
      if (!typesAlone && reached.has(from)) reached.add(file);
    }
  }
  return reached;
}
