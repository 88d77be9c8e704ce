import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { buildPage } from './page-build.ts';

vi.setConfig({ hookTimeout: 120_000 });

const KB = 1000;

let built: Awaited<ReturnType<typeof buildPage>>;
/** Bytes on the wire by part; typefaces are compressed by themselves. */
let weights: Record<'shell' | 'socket' | 'chart' | 'fonts' | 'alerts', number>;
let scripts: string;

beforeAll(async () => {
  built = await buildPage();
  weights = { shell: 0, socket: 0, chart: 0, fonts: 0, alerts: 0 };
  scripts = '';
  const assets = join(built.folder, 'assets');
  const files = (await readdir(assets)).map((name) => join(assets, name));
  for (const file of [join(built.folder, 'index.html'), ...files]) {
    const bytes = await readFile(file);
    const font = file.endsWith('.woff2');
    weights[partOf(file)] += font ? bytes.length : gzipSync(bytes).length;
    if (file.endsWith('.js')) scripts += bytes.toString();
  }
});

afterAll(() => built?.remove());

function partOf(file: string): keyof typeof weights {
  if (file.endsWith('.woff2')) return 'fonts';
  if (/\bsocket-/.test(file)) return 'socket';
  if (/\balerts-/.test(file)) return 'alerts';
  return /\bdrawing-/.test(file) ? 'chart' : 'shell';
}

it('the first view comes in under 45 kB, all of Today under 155 kB, another screen under 10 kB', () => {
  const { shell, socket, chart, fonts, alerts } = weights;
  const all = shell + socket + chart + fonts;
  console.info(
    Object.entries({ ...weights, all })
      .map(([part, bytes]) => `${part} ${(bytes / KB).toFixed(1)} kB`)
      .join(', '),
  );
  expect(Math.min(shell, socket, chart, fonts)).toBeGreaterThan(5 * KB);
  expect(shell).toBeLessThan(45 * KB);
  expect(all).toBeLessThan(155 * KB);
  expect(alerts).toBeGreaterThan(KB);
  expect(alerts).toBeLessThan(10 * KB);
});

it('the schemas that the service checks with stay off the phone', () => {
  expect(scripts.length).toBeGreaterThan(100 * KB);
  expect(scripts).not.toMatch(/ZodError|_zod/);
});
