import type { Socket } from 'node:net';
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { type ErrorCode, errorCodes, type Fault, SunsteepError } from '../errors.ts';

/** RFC 9457, with the code of the error registry and, where fields were refused, each with its place. */
export const problemSchema = z.object({
  type: z.string().describe('urn:sunsteep:error: and the code in small letters'),
  title: z.string(),
  status: z.int(),
  detail: z.string(),
  code: z.string(),
  faults: z
    .array(z.object({ path: z.string().describe('JSON Pointer'), why: z.string() }))
    .optional(),
});

export type Problem = z.infer<typeof problemSchema>;

export const problemType = (code: ErrorCode): string =>
  `urn:sunsteep:error:${words(code).replaceAll(' ', '-')}`;

const words = (code: ErrorCode): string =>
  code.slice('SUNSTEEP_'.length).toLowerCase().replaceAll('_', ' ');

export function problemOf(error: SunsteepError): Problem {
  const { status } = errorCodes[error.code];
  return problem(error.code, status, error.message, error.faults);
}

/** What a 5xx says to a caller holds nothing from within; the log has the rest. */
function problem(code: ErrorCode, status: number, detail: string, faults: readonly Fault[] = []) {
  const title = words(code);
  return {
    type: problemType(code),
    title: title[0]!.toUpperCase() + title.slice(1),
    status,
    detail: status >= 500 ? 'The service could not do this; its log says why.' : detail,
    code,
    ...(faults.length > 0 && status < 500 && { faults: [...faults] }),
  };
}

/** Codes for what the framework refuses before a route sees it. */
const byStatus: Record<number, ErrorCode> = {
  404: 'SUNSTEEP_NOT_FOUND',
  413: 'SUNSTEEP_TOO_LARGE',
  415: 'SUNSTEEP_MEDIA_UNSUPPORTED',
  429: 'SUNSTEEP_TOO_MANY',
};

/** Any failure as a problem document: ours, the framework's, or one that nobody expected. */
export function problemOfAny(error: FastifyError | Error): Problem {
  if (error instanceof SunsteepError) return problemOf(error);
  const status = 'statusCode' in error ? (error.statusCode ?? 500) : 500;
  if (status < 400 || status >= 500) return problem('SUNSTEEP_FAILED', 500, '');
  return problem(byStatus[status] ?? 'SUNSTEEP_CALL_INVALID', status, error.message);
}

export function sendProblem(
  error: FastifyError | Error,
  request: FastifyRequest,
  to: FastifyReply,
) {
  const body = problemOfAny(error);
  if (body.status >= 500) request.log.error({ err: error }, 'request failed');
  // RFC 9110 §11.6.1
  if (body.status === 401) to.header('www-authenticate', 'Bearer');
  if (body.status === 429) to.header('retry-after', '60');
  return to
    .code(body.status)
    .header('cache-control', 'no-store')
    .type('application/problem+json')
    .send(body);
}

export const notFound = (what: string): SunsteepError =>
  new SunsteepError('SUNSTEEP_NOT_FOUND', `There is no ${what}.`);

/** Answers what is no HTTP, or came too slowly, on the bare connection. */
export function refuseBadHttp(error: NodeJS.ErrnoException, socket: Socket): void {
  if (error.code === 'ECONNRESET' || !socket.writable) return void socket.destroy();
  const status = badHttp[error.code ?? ''] ?? 400;
  const body = JSON.stringify(
    problem('SUNSTEEP_CALL_INVALID', status, 'This is no HTTP/1.1 request that can be read.'),
  );
  socket.end(
    `HTTP/1.1 ${status} Refused\r\nContent-Type: application/problem+json\r\n` +
      `Content-Length: ${Buffer.byteLength(body)}\r\nConnection: close\r\n\r\n${body}`,
  );
}

const badHttp: Record<string, number> = {
  ERR_HTTP_REQUEST_TIMEOUT: 408,
  HPE_HEADER_OVERFLOW: 431,
};
