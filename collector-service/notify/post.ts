import { lookup } from 'node:dns';
import { request as requestHttp } from 'node:http';
import { request as requestHttps } from 'node:https';
import { isIP, type LookupFunction } from 'node:net';
import { isWithin, type Reach } from './reach.ts';

/** How a call ended: with a status, or why there was none, in words that give nothing away. */
export type Posted = { status: number } | { why: string };

export interface Post {
  url: string;
  headers: Record<string, string | number>;
  body: string | Buffer;
  reach: Reach;
}

/** What calls take from outside; left out: what the system has. */
export interface Network {
  lookup?: typeof lookup;
  /** Whom to trust beside the authorities that Node trusts, in PEM. */
  ca?: string;
  /** Longer than this nobody waits, from looking the name up to the answer's first line. [ms] */
  limitMs?: number;
}

const LIMIT_MS = 5000;

class OutOfReach extends Error {}

/**
 * Posts once: no redirect is followed, and of the answer nothing but its status is read. What a name
 * stands for is looked up once, checked, and the connection is made to what was checked.
 */
export function post({ url, headers, body, reach }: Post, network: Network = {}): Promise<Posted> {
  const { hostname, protocol } = new URL(url);
  const address = hostname.replace(/^\[|\]$/g, '');
  // an address is connected to without being looked up
  if (isIP(address) !== 0 && !isWithin(address, reach)) return Promise.resolve(outOfReach);
  const signal = AbortSignal.timeout(network.limitMs ?? LIMIT_MS);
  const request = protocol === 'https:' ? requestHttps : requestHttp;
  return new Promise((resolve) => {
    const call = request(url, {
      method: 'POST',
      headers: { ...headers, 'content-length': Buffer.byteLength(body) },
      agent: false, // a connection that is kept was checked for somebody else
      lookup: checked(reach, network.lookup ?? lookup),
      ...(network.ca === undefined ? {} : { ca: network.ca }),
      signal,
    });
    call.on('response', (answer) => {
      resolve({ status: answer.statusCode! });
      call.destroy();
    });
    call.on('error', (error) => resolve(whyOf(error, signal)));
    call.end(body);
  });
}

const outOfReach: Posted = { why: 'is an address that may not be called from here' };

/** Looks up as always and gives on what is within reach. */
const checked =
  (reach: Reach, look: typeof lookup): LookupFunction =>
  (hostname, options, done) => {
    look(hostname, { ...options, all: true }, (error, found) => {
      if (error) return done(error, '', 0);
      const [first, ...others] = found.filter(({ address }) => isWithin(address, reach));
      if (!first) return done(new OutOfReach(), '', 0);
      if (options.all) done(null, [first, ...others]);
      else done(null, first.address, first.family);
    });
  };

function whyOf(error: NodeJS.ErrnoException, signal: AbortSignal): Posted {
  if (error instanceof OutOfReach) return outOfReach;
  if (signal.aborted) return { why: 'did not answer in time' };
  const code = error.code ?? '';
  if (['ENOTFOUND', 'EAI_AGAIN', 'ENODATA'].includes(code)) return { why: 'was not found by name' };
  if (/CERT|SELF_SIGNED|ALTNAME|UNABLE_TO/.test(code)) {
    return { why: 'has no certificate that can be trusted' };
  }
  return { why: 'could not be reached' };
}
