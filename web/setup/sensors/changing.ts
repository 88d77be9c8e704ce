/** Which of some values changes most just now: somebody may be warming a sensor in the hand. */

const LATELY = 30_000; // ms
/** A change in the last half minute that stands out: from here on, and above twice the next one. [K] */
const STANDS_OUT = 0.6;

interface Seen {
  at: number;
  value: number;
}

export class Changing {
  private readonly seen = new Map<string, Seen[]>();

  /** Takes in what a name reads at an instant [ms]; the same again adds nothing. */
  take(name: string, at: number, value: number): void {
    const all = this.seen.get(name) ?? [];
    if (all.at(-1)?.at === at) return;
    this.seen.set(name, [...all.filter((seen) => at - seen.at <= LATELY), { at, value }]);
  }

  /** The name and its change, where one stands out. */
  most(): { name: string; change: number } | null {
    const changes = [...this.seen].map(([name, all]) => {
      const values = all.map(({ value }) => value);
      const last = values.at(-1)!;
      const low = Math.min(...values);
      const high = Math.max(...values);
      return { name, change: last - low >= high - last ? last - low : last - high };
    });
    changes.sort((a, b) => Math.abs(b.change) - Math.abs(a.change));
    const [first, second] = changes;
    if (!first || Math.abs(first.change) < STANDS_OUT) return null;
    return Math.abs(first.change) > 2 * Math.abs(second?.change ?? 0) ? first : null;
  }
}
