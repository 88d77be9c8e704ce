import { MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';

const TRIES = 10; // a minute from one address
const ADDRESSES = 10_000; // remembered at most

/** Counts tries by address, so that nobody guesses fast. */
export class Tries {
  private readonly clock: Clock;
  private readonly lately = new Map<string, number[]>();

  constructor(clock: Clock) {
    this.clock = clock;
  }

  /** @throws SunsteepError SUNSTEEP_TOO_MANY for an address that had its tries within a minute */
  count(address: string): void {
    const now = this.clock.now();
    const times = (this.lately.get(address) ?? []).filter((t) => t > now - MINUTE && t <= now);
    if (times.length >= TRIES) {
      throw new SunsteepError(
        'SUNSTEEP_TOO_MANY',
        `More than ${TRIES} tries within a minute. Wait a minute, then try again.`,
      );
    }
    // taken out first, so that the map stays in the order of the newest try
    this.lately.delete(address);
    this.lately.set(address, [...times, now]);
    if (this.lately.size > ADDRESSES) this.lately.delete(this.lately.keys().next().value!);
  }
}
