import { readdir, readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { beforeAll, expect, inject, it, vi } from 'vitest';

vi.setConfig({ hookTimeout: 120_000 });

const KB = 1000;

/** Screens that are fetched when they are first opened. */
const later = ['alerts', 'months', 'traces', 'more', 'log', 'phones', 'notices'] as const;
/** What the first view and Today need. */
const atOnce = ['shell', 'socket', 'chart', 'fonts'] as const;
type Part = (typeof later)[number] | (typeof atOnce)[number] | 'other letters' | 'parts of several';

/** Bytes on the wire by part; typefaces are compressed by themselves. */
let weights: Record<Part, number>;
/** What the page itself asks for, before anything else. */
let asked: string;
let scripts: string;

beforeAll(async () => {
  const parts = [...atOnce, ...later, 'other letters', 'parts of several'];
  weights = Object.fromEntries(parts.map((part) => [part, 0])) as typeof weights;
  asked = await readFile(join(inject('page'), 'index.html'), 'utf8');
  scripts = '';
  const assets = join(inject('page'), 'assets');
  const files = (await readdir(assets)).map((name) => join(assets, name));
  for (const file of [join(inject('page'), 'index.html'), ...files]) {
    const bytes = await readFile(file);
    const font = file.endsWith('.woff2');
    weights[partOf(file)] += font ? bytes.length : gzipSync(bytes).length;
    if (file.endsWith('.js')) scripts += bytes.toString();
  }
});

function partOf(file: string): Part {
  // the extended files come only where a name has letters that Today's words lack
  if (file.endsWith('.woff2')) return file.includes('-latin-ext-') ? 'other letters' : 'fonts';
  if (file.endsWith('index.html') || asked.includes(basename(file))) return 'shell';
  if (/\bsocket-/.test(file)) return 'socket';
  if (/\b(?:drawing|start-chart)-/.test(file)) return 'chart';
  return later.find((name) => new RegExp(`\\b${name}-`).test(file)) ?? 'parts of several';
}

it('the first view comes in under 45 kB, all of Today under 155 kB, another screen under 10 kB', () => {
  const all = atOnce.reduce((sum, part) => sum + weights[part], 0);
  console.info(
    Object.entries({ ...weights, all })
      .map(([part, bytes]) => `${part} ${(bytes / KB).toFixed(1)} kB`)
      .join(', '),
  );
  expect(Math.min(...atOnce.map((part) => weights[part]))).toBeGreaterThan(5 * KB);
  expect(weights.shell).toBeLessThan(45 * KB);
  expect(all).toBeLessThan(155 * KB);
  for (const screen of later) {
    expect(weights[screen], screen).toBeGreaterThan(0.2 * KB);
    expect(weights[screen], screen).toBeLessThan(10 * KB);
  }
});

it('the schemas that the service checks with stay off the phone', () => {
  expect(scripts.length).toBeGreaterThan(100 * KB);
  expect(scripts).not.toMatch(/ZodError|_zod/);
});
