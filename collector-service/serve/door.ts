import { createHash, timingSafeEqual } from 'node:crypto';
import type { IncomingHttpHeaders } from 'node:http';
import { fastifyCookie } from '@fastify/cookie';
import { MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import type { Store } from '../store/store.ts';
import { type Access, accessOf, isOver, tokenAccess } from './access.ts';
import { mustComeFromOurPage } from './origin.ts';

export const COOKIE = 'sunsteep_phone';

/** Store and memory hold this of cookies and codes, never these themselves. */
export const hashOf = (secret: string): string =>
  createHash('sha256').update(secret).digest('base64url');

/** How often a phone that is in use is noted as seen: each note is a write. */
const SEEN_EVERY = 10 * MINUTE;

interface Keys {
  store: Pick<Store, 'phoneByCookie' | 'phoneSeen'>;
  clock: Clock;
  settings: { token: string | null; url: string | null };
}

/** Lets in who has the bearer token or a paired phone's cookie. */
export class Door {
  private readonly keys: Keys;
  private readonly tokenHash: string | null;

  constructor(keys: Keys) {
    this.keys = keys;
    this.tokenHash = keys.settings.token === null ? null : hashOf(keys.settings.token);
  }

  /**
   * @param headers  of a request, or of the one that opened a socket
   * @param acts  it changes something or opens a socket: a cookie alone does not prove that one of
   *   our pages sent it, because the browser adds it to whatever goes to our address
   * @throws SunsteepError SUNSTEEP_NOT_PAIRED; SUNSTEEP_NOT_ALLOWED for a foreign page
   */
  async admit(headers: IncomingHttpHeaders, acts: boolean): Promise<Access> {
    const { authorization } = headers;
    if (authorization !== undefined) {
      return this.admitToken(/^Bearer +(\S+) *$/i.exec(authorization)?.[1] ?? '');
    }
    const access = await this.byCookie(headers.cookie);
    if (acts) mustComeFromOurPage(headers, this.keys.settings.url);
    return access;
  }

  /** @throws SunsteepError SUNSTEEP_NOT_PAIRED */
  admitToken(token: string): Access {
    // equal lengths and no early end: the time that this takes tells nothing of the token
    const given = Buffer.from(hashOf(token));
    if (this.tokenHash && timingSafeEqual(given, Buffer.from(this.tokenHash))) return tokenAccess;
    throw notPaired();
  }

  private async byCookie(header: string | undefined): Promise<Access> {
    const { store, clock } = this.keys;
    const cookie = header && fastifyCookie.parse(header)[COOKIE];
    const phone = cookie ? await store.phoneByCookie(hashOf(cookie)) : null;
    const now = clock.now();
    if (!phone || isOver(phone, now)) throw notPaired();
    if (phone.seenAt === null || now - phone.seenAt >= SEEN_EVERY) {
      // a full disk must not keep anybody from looking
      await store.phoneSeen(phone.id, now).catch(() => {});
    }
    return accessOf(phone);
  }
}

const notPaired = (): SunsteepError =>
  new SunsteepError(
    'SUNSTEEP_NOT_PAIRED',
    'This phone is not paired, or no longer. Open a pairing link on it, or send the bearer token.',
  );
