import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import type { Store } from '../store/store.ts';

/** Tubs that nobody sets up go this long after their last reading arrived. [ms] */
const FORGET_AFTER_MS = 24 * HOUR;
/** A clock that went on by more since it was last looked at, or back, was set. [ms] */
const WAS_SET_MS = 10 * MINUTE;

/** Forgets tubs that nobody set up, once they have been silent for a day. */
export class Strangers {
  private readonly store: Store;
  private readonly clock: Clock;
  private lookedAt: number | null = null;
  /** Since when the clock has gone on by itself: before that it tells no silence. */
  private steadySince = Number.NEGATIVE_INFINITY;

  constructor(store: Store, clock: Clock) {
    this.store = store;
    this.clock = clock;
  }

  /** To be called every few seconds; tells which were forgotten. */
  async forget(isSetUp: (tub: string) => boolean): Promise<string[]> {
    const now = this.clock.now();
    const wentMs = now - (this.lookedAt ?? now);
    if (wentMs < 0 || wentMs > WAS_SET_MS) this.steadySince = now;
    this.lookedAt = now;
    const longAgo = now - FORGET_AFTER_MS;
    if (this.steadySince >= longAgo) return [];
    const forgotten: string[] = [];
    for (const { tub, arrivedAt } of await this.store.tubs()) {
      if (isSetUp(tub) || arrivedAt === null || arrivedAt >= longAgo) continue;
      await this.store.forgetTub(tub);
      forgotten.push(tub);
    }
    return forgotten;
  }
}
