import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { type ErrorCode, errorCodes, SunsteepError } from '../../../collector-service/errors.ts';
import { problemOfAny, problemType } from '../../../collector-service/serve/problems.ts';

const docs = readFileSync(new URL('../../../docs/errors.md', import.meta.url), 'utf8');

/** What the page says of each code: its HTTP status and its exit code. */
const told = Object.fromEntries(
  [...docs.matchAll(/^## (\S+)\n\nHTTP (\d+), exit (\d)\. \S[\s\S]*?\n\n\*\*Do:\*\* \S/gm)].map(
    ([, code, status, exit]) => [code, { status: Number(status), exit: Number(exit) }],
  ),
);

test('the page on errors and the registry hold the same codes, statuses and exit codes', () => {
  expect(told).toEqual(errorCodes);
  expect([...docs.matchAll(/^## /gm)]).toHaveLength(Object.keys(errorCodes).length);
});

test('every code becomes a problem document of its own type', () => {
  const types = new Set<string>();
  for (const code of Object.keys(errorCodes) as ErrorCode[]) {
    const problem = problemOfAny(new SunsteepError(code, 'Inner text.'));
    expect(problem).toMatchObject({ code, status: errorCodes[code].status });
    expect(problem.type).toMatch(/^urn:sunsteep:error:[a-z-]+$/);
    expect(problem.title).toMatch(/^[A-Z][a-z ]+$/);
    types.add(problem.type);
  }
  expect(types.size).toBe(Object.keys(errorCodes).length);
  expect(docs).toContain(problemType('SUNSTEEP_SETUP_INVALID'));
});

test('a problem of 500 and more says nothing of the inside', () => {
  for (const error of [
    new Error('password hush'),
    Object.assign(new Error('password hush'), { statusCode: 503 }),
    Object.assign(new Error('password hush'), { statusCode: 302 }),
    new SunsteepError('SUNSTEEP_STORE_DAMAGED', 'password hush', {
      faults: [{ path: '/hush', why: 'hush' }],
    }),
  ]) {
    const problem = problemOfAny(error);
    expect(problem.status).toBeGreaterThanOrEqual(500);
    expect(JSON.stringify(problem)).not.toContain('hush');
  }
});
