import { MOST_TUBS_WITHOUT_SETUP } from './admit.ts';
import type { Told } from './payload-form.ts';

/** A value that a broker had kept: it was so at some time that nobody knows. */
export interface LastKnown {
  value: number;
  /** When the broker handed it over [ms since 1970-01-01 UTC]. */
  handedOverAt: number;
}

/**
 * What brokers told of earlier, without a time: shown as last known, never reckoned with and never
 * stored. Every tub that is set up has its place, and as many others as may be heard.
 */
export class LastKnownValues {
  private readonly tubs = new Map<string, Map<string, LastKnown>>();
  private setUp: ReadonlySet<string> = new Set();

  setUpAre(tubs: Iterable<string>): void {
    this.setUp = new Set(tubs);
  }

  note({ tub, point, value }: Told, handedOverAt: number): void {
    const points = this.tubs.get(tub) ?? this.room(tub);
    points?.set(point, { value, handedOverAt });
  }

  /** A reading says more than what was last known. */
  replaced(tub: string, point: string): void {
    this.tubs.get(tub)?.delete(point);
  }

  forget(tub: string): void {
    this.tubs.delete(tub);
  }

  of(tub: string): ReadonlyMap<string, LastKnown> {
    return this.tubs.get(tub) ?? new Map();
  }

  private room(tub: string): Map<string, LastKnown> | null {
    if (!this.setUp.has(tub)) {
      const others = [...this.tubs.keys()].filter((name) => !this.setUp.has(name)).length;
      if (others >= MOST_TUBS_WITHOUT_SETUP) return null;
    }
    const points = new Map<string, LastKnown>();
    this.tubs.set(tub, points);
    return points;
  }
}
