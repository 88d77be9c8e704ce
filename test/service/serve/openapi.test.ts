import { afterAll, beforeAll, expect, test } from 'vitest';
import { z } from 'zod';
import { setupSchema } from '../../../model/setup.ts';
import { asScript, type House, openHouse } from './house.ts';

let house: House;
// biome-ignore lint/suspicious/noExplicitAny: a JSON document whose shape is what is tested here
let description: any;
beforeAll(async () => {
  house = await openHouse();
  description = (await house.app.inject({ url: '/api/openapi.json', headers: asScript })).json();
});
afterAll(() => house.close());

/** Every value under a key, however deep. */
function* under(key: string, value: unknown): Generator<unknown> {
  if (typeof value !== 'object' || value === null) return;
  for (const [name, child] of Object.entries(value)) {
    if (name === key) yield child;
    yield* under(key, child);
  }
}

/** Method and path of every route, from the tree in which the router prints them. */
function served(tree: string): string[] {
  const above: string[] = [];
  return tree.split('\n').flatMap((line) => {
    const [, indent, part, methods] = /^([ │]*)[├└]── (\S+) \((.*)\)$/.exec(line) ?? [];
    if (!part) return [];
    const depth = indent!.length / 4;
    above.length = depth;
    above.push(part);
    return methods!.split(', ').map((method) => `${method} ${above.join('')}`);
  });
}

test('the description is OpenAPI 3.1 and names itself', () => {
  expect(description.openapi).toMatch(/^3\.1\./);
  expect(description.info.title).toBe('Sunsteep');
  expect(description.info.version.length).toBeGreaterThan(0);
});

test('it describes every route that is served, and no file of the pages', () => {
  const expected = served(house.app.printRoutes({ commonPrefix: false }))
    .filter((route) => /^(?!HEAD)\S+ \/(api|health)/.test(route))
    .map((route) => route.replace(/:(\w+)/g, '{$1}'));
  const described = Object.entries<object>(description.paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`),
  );
  expect(expected.length).toBeGreaterThan(10);
  expect(described.sort()).toEqual(expected.sort());
});

test('every route says what it does, what it gives, and how it fails', () => {
  for (const methods of Object.values<object>(description.paths)) {
    for (const route of Object.values(methods)) {
      expect(route.summary.length).toBeGreaterThan(10);
      const good = Object.keys(route.responses).filter((status) => status.startsWith('2'));
      expect(good).toHaveLength(1);
      expect(route.responses.default.content).toHaveProperty(['application/problem+json']);
    }
  }
});

test('every parameter in braces is described', () => {
  for (const [path, methods] of Object.entries<object>(description.paths)) {
    const named = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
    for (const route of Object.values(methods)) {
      const parameters: { in: string; name: string }[] = route.parameters ?? [];
      const inPath = parameters.filter((one) => one.in === 'path').map(({ name }) => name);
      expect(inPath.sort()).toEqual(named.sort());
    }
  }
});

test('every reference leads somewhere, and every shape is used', () => {
  const pointed = new Set([...under('$ref', description)] as string[]);
  const shapes = Object.keys(description.components.schemas);
  expect([...pointed].sort()).toEqual(shapes.map((name) => `#/components/schemas/${name}`).sort());
  expect(shapes).toEqual(expect.arrayContaining(['Day', 'Month', 'Now', 'Alert', 'Problem']));
});

test('it says which routes are public, and which two ways lead in elsewhere', () => {
  expect(description.security).toEqual([{ token: [] }, { phone: [] }]);
  expect(Object.keys(description.components.securitySchemes)).toEqual(['token', 'phone']);
  const open = Object.entries<object>(description.paths).flatMap(([path, methods]) =>
    Object.values(methods).some(({ security }) => security?.length === 0) ? [path] : [],
  );
  expect(open.sort()).toEqual(['/api/pair', '/health']);
});

test('the set-up is described as it is taken and as it is given, which are the same', () => {
  const shape = (way: 'input' | 'output') =>
    z.toJSONSchema(setupSchema, { io: way, unrepresentable: 'any' });
  expect(shape('input')).toEqual(shape('output'));
  expect(Object.keys(description.components.schemas.Setup.properties).sort()).toEqual([
    'notify',
    'tubs',
    'wiring',
  ]);
});
