/** What the service answered: a body, or a refusal as a value; status 0 where it did not answer at all. */
export type Answer<T> =
  | { ok: true; body: T; etag: string | null }
  | ({ ok: false; status: number } & Refusal);

/** What a problem document says (RFC 9457). */
interface Refusal {
  detail: string;
  /** Of the service's errors, such as SUNSTEEP_CODE_UNKNOWN. */
  code?: string;
  faults?: Fault[];
}

/** A field that was refused: where it stands (RFC 6901) and why. */
interface Fault {
  path: string;
  why: string;
}

const PATIENCE = 10_000; // ms

async function call<T>(path: string, init: RequestInit): Promise<Answer<T>> {
  try {
    const response = await fetch(path, {
      cache: 'no-store',
      ...init,
      signal: init.signal ?? AbortSignal.timeout(PATIENCE),
    });
    const text = await response.text();
    if (!response.ok) return { ok: false, status: response.status, ...problem(text) };
    return {
      ok: true,
      body: (text === '' ? null : JSON.parse(text)) as T,
      etag: response.headers.get('etag'),
    };
  } catch {
    return { ok: false, status: 0, detail: '' };
  }
}

function problem(text: string): Refusal {
  try {
    const { detail, title, code, faults } = JSON.parse(text) as Partial<Refusal> & {
      title?: string;
    };
    return { detail: detail ?? title ?? '', ...(code && { code }), ...(faults && { faults }) };
  } catch {
    return { detail: '' };
  }
}

/** @param signal  ends the asking, in place of the patience of other questions */
export const get = <T>(
  path: string,
  init: Pick<RequestInit, 'signal' | 'cache'> = {},
): Promise<Answer<T>> => call<T>(path, init);

export function send<T>(
  method: 'POST' | 'PUT' | 'DELETE',
  path: string,
  body?: unknown,
  headers: Record<string, string> = {},
): Promise<Answer<T>> {
  if (body === undefined) return call<T>(path, { method, headers });
  return call<T>(path, {
    method,
    body: JSON.stringify(body),
    headers: { 'content-type': 'application/json', ...headers },
  });
}
