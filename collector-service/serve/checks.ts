import type { FastifySchemaCompiler } from 'fastify';
import type { z } from 'zod';
import { type ErrorCode, type Fault, SunsteepError } from '../errors.ts';

/** Where each refused field stands (RFC 6901 JSON Pointer) and why. */
export function faultsOf(error: z.ZodError): Fault[] {
  return error.issues.flatMap((issue) => {
    // an unknown key is told by its own path, not by that of the object around it
    if (issue.code === 'unrecognized_keys') {
      return issue.keys.map((key) => ({
        path: pointer([...issue.path, key]),
        why: 'unknown: there is no such field',
      }));
    }
    return [{ path: pointer(issue.path), why: issue.message }];
  });
}

export const pointer = (path: readonly PropertyKey[]): string =>
  path.map((key) => `/${String(key).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');

/** One line that names the first few faults, for whoever reads no list. */
export function refuseFaults(code: ErrorCode, what: string, faults: Fault[]): SunsteepError {
  const first = faults.slice(0, 3).map(({ path, why }) => `${path || 'the whole'}: ${why}`);
  const more = faults.length > 3 ? `, and ${faults.length - 3} more` : '';
  return new SunsteepError(code, `${what} was refused. ${first.join('; ')}${more}.`, { faults });
}

const spoken: Record<string, string> = {
  body: 'What was sent',
  querystring: 'The query',
  params: 'The address',
  headers: 'The headers',
};

/** Checks whatever a route takes by its zod schemas; a bad body is told by `bodyCode`. */
export const checks =
  (bodyCode: ErrorCode): FastifySchemaCompiler<unknown> =>
  ({ schema, httpPart = 'body' }) =>
  (data) => {
    const result = (schema as z.ZodType).safeParse(data);
    if (result.success) return { value: result.data };
    const code = httpPart === 'body' ? bodyCode : 'SUNSTEEP_CALL_INVALID';
    return { error: refuseFaults(code, spoken[httpPart]!, faultsOf(result.error)) };
  };
