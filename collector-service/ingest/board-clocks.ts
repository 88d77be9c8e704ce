import { MOST_TUBS_WITHOUT_SETUP } from './admit.ts';
import type { Told } from './payload-form.ts';

/** By how much a point's own times are off the service's clock when they arrive. */
export interface ClockOff {
  /** Own time less arrival: negative where it lags [ms]. */
  offMs: number;
  /** For how many messages in a row that has been so, and about the same. */
  messages: number;
}

/** A clock that differs less is right enough. [ms] */
const RIGHT_WITHIN_MS = 120_000;
/** A clock that is wrong stays about as wrong; a backlog catches up. [ms] */
const SAME_WITHIN_MS = 20_000;
const MOST_TUBS = 1000 + MOST_TUBS_WITHOUT_SETUP;

/** How right the clocks are that messages bring along, by tub and point. */
export class BoardClocks {
  private readonly tubs = new Map<string, Map<string, ClockOff & { firstOffMs: number }>>();

  /** Takes a value with a time of its own, admitted or too far ahead to be. */
  note({ tub, point, t }: Told, arrival: number): void {
    let points = this.tubs.get(tub);
    if (!points) {
      if (this.tubs.size >= MOST_TUBS) return;
      points = new Map();
      this.tubs.set(tub, points);
    }
    const offMs = t - arrival;
    const before = points.get(point);
    if (Math.abs(offMs) <= RIGHT_WITHIN_MS) points.delete(point);
    else if (before && Math.abs(offMs - before.firstOffMs) <= SAME_WITHIN_MS) {
      before.offMs = offMs;
      before.messages++;
    } else points.set(point, { offMs, firstOffMs: offMs, messages: 1 });
  }

  forget(tub: string): void {
    this.tubs.delete(tub);
  }

  of(tub: string): ReadonlyMap<string, ClockOff> {
    return this.tubs.get(tub) ?? new Map();
  }
}
