import type { IncomingHttpHeaders } from 'node:http';
import { refused } from './access.ts';

/**
 * Whether a browser's page that sends this came from us: its Origin names the Host that it speaks to,
 * or the address that phones are told to use. A request without Origin did not say so.
 */
export function fromOurPage(headers: IncomingHttpHeaders, url: string | null): boolean {
  const { origin, host } = headers;
  if (origin === undefined || origin === 'null') return false;
  if (origin === url) return true;
  try {
    const { protocol } = new URL(origin);
    // through URL, so that a port that the scheme implies may stand or not (RFC 6454 §4)
    return /^https?:$/.test(protocol) && new URL(`${protocol}//${host}`).origin === origin;
  } catch {
    return false;
  }
}

/** @throws SunsteepError SUNSTEEP_NOT_ALLOWED where a page of somebody else may be behind it */
export function mustComeFromOurPage(headers: IncomingHttpHeaders, url: string | null): void {
  if (fromOurPage(headers, url)) return;
  throw refused(
    'The Origin of this request is not the address that it was sent to. Behind a proxy, set SUNSTEEP_URL.',
  );
}
