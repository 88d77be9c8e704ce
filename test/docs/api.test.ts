import { afterAll, beforeAll, expect, test } from 'vitest';
import { errorCodes } from '../../collector-service/errors.ts';
import { logKinds } from '../../model/owner-log.ts';
import { daySchema, monthSchema } from '../../model/shapes.ts';
import { asScript, type House, openHouse } from '../service/serve/house.ts';
import { documentOf, documents, rowsByName } from './texts.ts';

const { text } = documentOf('docs/api.md');
let house: House;
beforeAll(async () => {
  house = await openHouse();
});
afterAll(() => house.close());

test('every route is told of, and none that does not exist', async () => {
  const answer = await house.app.inject({ url: '/api/openapi.json', headers: asScript });
  const { paths } = answer.json<{ paths: Record<string, Record<string, unknown>> }>();
  const routes = Object.entries(paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`),
  );
  expect(routes.length).toBeGreaterThan(10);
  const told = [...rowsByName(text).keys()].filter((name) => /^[A-Z]+ \//.test(name));
  expect(told.sort()).toEqual(routes.sort());
});

test('every figure of a Day and a Month is told of', () => {
  const named = new Set([...text.matchAll(/`(\w+)`/g)].map(([, name]) => name!));
  for (const field of Object.keys({ ...daySchema.shape, ...monthSchema.shape })) {
    if (field !== 'date') expect(named, field).toContain(field);
  }
});

test('every kind of entry in the log is told of', () => {
  const [, part] = text.split("## The owner's log");
  const named = [...part!.matchAll(/`([a-z-]+)`/g)].map(([, name]) => name);
  expect(named).toEqual(expect.arrayContaining([...logKinds]));
});

test('who may is told as it is', async () => {
  const routes = [...rowsByName(text)].filter(([name]) => /^[A-Z]+ \//.test(name));
  const viewer = await house.pair({ right: 'viewer' });
  const some = await house.pair({ right: 'full', tubs: ['kowhai'] });
  const origin = 'http://localhost';
  for (const [route, [, right]] of routes) {
    const [method, path] = route.split(' ') as ['GET', string];
    const url = path.replace('{tub}', 'kowhai').replaceAll(/\{\w+\}/g, '2026-03-01');
    const body = method === 'GET' ? {} : { payload: {} };
    const ask = async (cookie?: string) => {
      const headers = cookie === undefined ? {} : { cookie, origin };
      return (await house.app.inject({ method, url, headers, ...body })).statusCode;
    };
    expect((await ask()) === 401, `${route} without a right`).toBe(right !== 'none');
    expect((await ask(viewer.cookie)) === 403, `${route} as a viewer`).toBe(
      right!.startsWith('full'),
    );
    expect((await ask(some.cookie)) === 403, `${route} for some tubs`).toBe(
      right === 'full, all tubs',
    );
  }
});

test('every code of an error that the documents name is one', () => {
  for (const { name, text } of documents()) {
    for (const [code] of text.matchAll(/SUNSTEEP_[A-Z_]+[A-Z]/g)) {
      const known = code in errorCodes || documentOf('docs/settings.md').text.includes(code);
      expect(known, `${name}: ${code}`).toBe(true);
    }
  }
});
