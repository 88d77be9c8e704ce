import { randomBytes, randomUUID } from 'node:crypto';
import type { IncomingHttpHeaders } from 'node:http';
import { fastifyCookie } from '@fastify/cookie';
import { z } from 'zod';
import { dayBounds } from '../../model/civil-time.ts';
import { isWritable } from '../../model/instants.ts';
import { MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import type { Phone, Right, Store } from '../store/store.ts';
import { isOver } from './access.ts';
import { COOKIE, hashOf } from './door.ts';

const LINK_LASTS = 10 * MINUTE;
const COOKIE_LASTS_S = 365 * 24 * 3600;

export interface Rights {
  right: Right;
  /** null for all */
  tubs: string[] | null;
  /** When the right ends [ms since 1970-01-01 UTC]; null for never. */
  until: number | null;
}

export interface Link {
  id: string;
  /** To be opened on the phone, once; what follows its # never reaches a server's log. */
  link: string;
  /** ISO 8601 UTC */
  expires: string;
}

/** Makes a link that pairs one more phone: 128 random bits, good once, for ten minutes. */
export async function makeLink(
  store: Pick<Store, 'addLink'>,
  clock: Clock,
  url: string,
  { right, tubs, until }: Rights,
): Promise<Link> {
  const id = randomUUID();
  const code = randomBytes(16).toString('base64url');
  const expires = clock.now() + LINK_LASTS;
  await store.addLink({ id, right, tubs, until, expires }, hashOf(code));
  return { id, link: `${url}/pair#${code}`, expires: new Date(expires).toISOString() };
}

/**
 * Takes a link's code for a phone's cookie.
 *
 * @throws SunsteepError SUNSTEEP_CODE_UNKNOWN for a code that is used up, too old or never was
 */
export async function redeem(
  store: Pick<Store, 'takeLink' | 'addPhone'>,
  clock: Clock,
  code: string,
  userAgent: string | undefined,
): Promise<{ phone: Omit<Phone, 'seenAt'>; cookie: string }> {
  const now = clock.now();
  const link = await store.takeLink(hashOf(code), now);
  if (!link || isOver(link, now)) {
    throw new SunsteepError(
      'SUNSTEEP_CODE_UNKNOWN',
      'This pairing code is used up, too old or mistyped. Ask for a new link.',
    );
  }
  const cookie = randomBytes(32).toString('base64url');
  const { right, tubs, until } = link;
  const phone = { id: randomUUID(), name: phoneName(userAgent), right, tubs, until, pairedAt: now };
  await store.addPhone(phone, hashOf(cookie));
  return { phone, cookie };
}

/**
 * When a right ends that is given until an instant, or until a date in the place's own time: that
 * day is still in it.
 *
 * @returns ms since 1970-01-01 UTC; null for what is neither, or ends after the year 9999
 */
export function endOfRight(until: string, timeZone: string): number | null {
  const isDate = z.iso.date().safeParse(until).success;
  if (!isDate && !z.iso.datetime({ offset: true }).safeParse(until).success) return null;
  const end = isDate ? dayBounds(until, timeZone).to : Date.parse(until);
  return isWritable(end) ? end : null;
}

/** The Set-Cookie header that keeps a phone in for a year, or until its right ends. */
export function cookieHeader(
  cookie: string,
  { until }: { until: number | null },
  now: number,
  secure: boolean,
): string {
  const leftS = until === null ? COOKIE_LASTS_S : Math.floor((until - now) / 1000);
  return fastifyCookie.serialize(COOKIE, cookie, {
    path: '/',
    httpOnly: true,
    sameSite: 'lax',
    secure,
    maxAge: Math.min(COOKIE_LASTS_S, leftS),
  });
}

/**
 * Whether the phone speaks HTTPS: to us, or to a proxy in front of us. Its page's Origin tells; what
 * sends none uses the address that phones are told.
 */
export const speaksHttps = (
  encrypted: boolean,
  headers: IncomingHttpHeaders,
  url: string | null,
): boolean => encrypted || (headers.origin ?? url ?? '').startsWith('https:');

/** Kinds of phone by what a browser says of itself, the first that fits. */
const kinds: [sign: RegExp, name: string][] = [
  [/iPhone/, 'iPhone'],
  [/iPad/, 'iPad'],
  [/Android.*Mobile/, 'Android phone'],
  [/Android/, 'Android tablet'],
  [/Mobile/, 'phone'],
  [/Windows|Macintosh|Linux|CrOS/, 'computer'],
];

/** What to call a phone until its owner gives it a name. */
export const phoneName = (userAgent = ''): string =>
  kinds.find(([sign]) => sign.test(userAgent))?.[1] ?? 'device';
