import type { Day, Now } from '../../model/shapes.ts';
import type { Watching } from './watching.ts';

type Listener = (news: { tub: string; now: Now; days: Day[] }) => void;

/** How many changed days are told of at once; a phone that needs more asks. */
const MOST_DAYS = 40;
/** How many times `tell` passes before a tub without news is told again, so that states move on. */
const QUIET_ROUNDS = 15;

/** Gathers what changed and tells it to whoever listens, at most once a round for each tub. */
export class News {
  private readonly watching: Watching;
  private readonly failed: (error: unknown) => void;
  private readonly listeners = new Set<Listener>();
  private changes = new Map<string, Set<string>>();
  private round = 0;
  private telling = false;

  constructor(parts: { watching: Watching; failed: (error: unknown) => void }) {
    this.watching = parts.watching;
    this.failed = parts.failed;
  }

  changed(tub: string, dates: readonly string[]): void {
    const known = this.changes.get(tub) ?? new Set();
    for (const date of dates) known.add(date);
    this.changes.set(tub, known);
  }

  listen(hear: Listener): () => void {
    this.listeners.add(hear);
    return () => this.listeners.delete(hear);
  }

  stop(): void {
    this.listeners.clear();
  }

  /** One round; a round that is still under way is not begun again. */
  async tell(): Promise<void> {
    if (this.telling || this.listeners.size === 0) return;
    this.telling = true;
    try {
      const changes = this.changes;
      this.changes = new Map();
      if (++this.round % QUIET_ROUNDS === 0) {
        for (const { id } of await this.watching.tubs())
          changes.set(id, changes.get(id) ?? new Set());
      }
      for (const [tub, dates] of changes) await this.tellOf(tub, [...dates]);
    } catch (error) {
      this.failed(error);
    } finally {
      this.telling = false;
    }
  }

  private async tellOf(tub: string, dates: string[]): Promise<void> {
    const now = await this.watching.now(tub);
    if (!now) return;
    const newest = dates.sort().reverse().slice(0, MOST_DAYS);
    const days: Day[] = [];
    for (const date of newest) {
      days.push(...((await this.watching.days(tub, date, date)) ?? []));
    }
    for (const hear of this.listeners) hear({ tub, now, days });
  }
}
