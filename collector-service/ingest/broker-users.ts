import { createHash, timingSafeEqual } from 'node:crypto';
import { MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import type { HearingHealth } from './hearing.ts';
import { isOurs } from './topic-route.ts';

/** Where in the data folder the password of the user `sensor` is kept that nobody has set. */
export const PASSWORD_FILE = 'broker-password';

/** The two users of the embedded broker. */
export type BrokerUser = 'sensor' | 'reader';

/** Boards publish; they may not speak for the service, nor for the broker. */
export const mayPublish = (user: BrokerUser, topic: string): boolean =>
  user === 'sensor' && !topic.startsWith('$') && !isOurs(topic);

/** Readers hear what is Sunsteep's, `sunsteep/#` and filters within it; boards hear nothing. */
export const maySubscribe = (user: BrokerUser, filter: string): boolean =>
  user === 'reader' && (filter === 'sunsteep' || filter.startsWith('sunsteep/'));

export type Passwords = Record<BrokerUser, string | null>;

/** The user that a login is, or null; it takes as long for a wrong one as for a right one. */
export function userOf(
  name: string,
  password: Uint8Array,
  passwords: Passwords,
): BrokerUser | null {
  const user = name === 'sensor' || name === 'reader' ? name : null;
  const right = user === null ? null : passwords[user];
  const same = timingSafeEqual(digest(password), digest(right ?? ''));
  return same && right !== null ? user : null;
}

const digest = (secret: Uint8Array | string): Buffer =>
  createHash('sha256').update(secret).digest();

/** Failed logins that an address may have in a minute. */
const MOST_FAILURES = 5;

/** Most addresses whose failures are counted; the oldest is forgotten first. */
const MOST_ADDRESSES = 10_000;

/** Most refused logins that are listed. */
const MOST_LISTED = 20;

/** Longest name of a user that is listed [characters]. */
const LONGEST_USER = 64;

/** Who failed to log in, and which addresses have to wait for it. */
export class FailedLogins {
  private readonly clock: Clock;
  private readonly failures = new Map<string, { since: number; count: number }>();
  private listed: HearingHealth['refused'] = [];

  constructor(clock: Clock) {
    this.clock = clock;
  }

  /** Whether an address has failed five times within a minute that is not over. */
  mustWait(address: string): boolean {
    const failed = this.failures.get(address);
    return failed !== undefined && failed.count >= MOST_FAILURES && !this.isOver(failed.since);
  }

  /** A login that failed: it counts against its address. */
  failed(address: string, user: string, why: string): void {
    const before = this.failures.get(address);
    const goesOn = before !== undefined && !this.isOver(before.since);
    this.failures.delete(address);
    this.failures.set(
      address,
      goesOn ? { ...before, count: before.count + 1 } : { since: this.clock.now(), count: 1 },
    );
    const [oldest] = this.failures.keys();
    if (this.failures.size > MOST_ADDRESSES && oldest !== undefined) this.failures.delete(oldest);
    this.list(address, user, why);
  }

  /** Lists a refusal that counts against nobody. */
  list(address: string, user: string, why: string): void {
    const entry = { address, user: user.slice(0, LONGEST_USER), at: this.clock.now(), why };
    this.listed = [entry, ...this.listed].slice(0, MOST_LISTED);
  }

  /** Newest first, at most 20. */
  get refused(): HearingHealth['refused'] {
    return this.listed;
  }

  /** A clock that steps back makes nobody wait for longer than a minute. */
  private isOver(since: number): boolean {
    const age = this.clock.now() - since;
    return age >= MINUTE || age < 0;
  }
}
