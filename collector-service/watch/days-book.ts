import { dayBounds, localDate } from '../../model/civil-time.ts';
import type { Span } from '../../model/day.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Learned } from '../../model/learned.ts';
import { HOUR } from '../../model/readings.ts';
import type { DirtyMark, Store } from '../store/store.ts';
import { DayWork } from './day-work.ts';
import type { Finished } from './ledger-work.ts';
import type { SetupBook } from './setup-book.ts';

/** A night belongs to the day on which it ends, from noon on. */
const NIGHT_MS = 12 * HOUR;

interface Shelf {
  figures: Map<string, DayFigures>;
  waiting: Finished[];
  running: Promise<void> | null;
}

/**
 * The whole days of all tubs, kept worked out behind the ledger: one run at a time for each tub, beside
 * what is live. The marks of a stretch go when its days are written, so that a service that was killed
 * in between begins them again.
 */
export class DaysBook {
  private readonly store: Store;
  private readonly book: () => SetupBook;
  private readonly told: (tub: string, dates: readonly string[]) => void;
  private readonly failed: (error: unknown) => void;
  private readonly shelves = new Map<string, Shelf>();
  private stopped = false;

  constructor(parts: {
    store: Store;
    book: () => SetupBook;
    /** Called with the dates whose figures changed. */
    told: (tub: string, dates: readonly string[]) => void;
    failed: (error: unknown) => void;
  }) {
    this.store = parts.store;
    this.book = parts.book;
    this.told = parts.told;
    this.failed = parts.failed;
  }

  /** Reads what is stored of some tubs. */
  async load(tubs: readonly string[]): Promise<void> {
    for (const tub of tubs) {
      const days = await this.store.days(tub);
      this.shelf(tub).figures = new Map(days.map((day) => [day.date, day]));
    }
  }

  figures(tub: string, date: string): DayFigures | null {
    return this.shelves.get(tub)?.figures.get(date) ?? null;
  }

  /** What is learned as it stands for the newest day; null before there is one. */
  learned(tub: string): Learned | null {
    const dates = [...(this.shelves.get(tub)?.figures.keys() ?? [])];
    const newest = dates.reduce<string | null>((a, b) => (a === null || b > a ? b : a), null);
    return newest === null ? null : this.shelves.get(tub)!.figures.get(newest)!.learned;
  }

  isRunning(tub: string): boolean {
    return (this.shelves.get(tub)?.running ?? null) !== null;
  }

  /** Takes a stretch whose quarters are worked out. */
  add(stretch: Finished): void {
    const shelf = this.shelf(stretch.tub);
    shelf.waiting.push(stretch);
    this.kick(stretch.tub, shelf);
  }

  async settled(): Promise<void> {
    for (const shelf of this.shelves.values()) while (shelf.running) await shelf.running;
  }

  async stop(): Promise<void> {
    this.stopped = true;
    await this.settled();
  }

  /** Forgets a tub, or all of its days where its dates are no longer what they were. */
  async forget(tub: string): Promise<void> {
    await this.shelves.get(tub)?.running;
    this.shelves.delete(tub);
    await this.store.clearDays(tub);
  }

  private shelf(tub: string): Shelf {
    const known = this.shelves.get(tub);
    if (known) return known;
    const made: Shelf = { figures: new Map(), waiting: [], running: null };
    this.shelves.set(tub, made);
    return made;
  }

  private kick(tub: string, shelf: Shelf): void {
    if (shelf.running || this.stopped || shelf.waiting.length === 0) return;
    shelf.running = this.run(tub, shelf, shelf.waiting.splice(0))
      .catch(this.failed)
      .finally(() => {
        shelf.running = null;
        this.kick(tub, shelf);
      });
  }

  private async run(tub: string, shelf: Shelf, stretches: readonly Finished[]): Promise<void> {
    const marks: DirtyMark[] = stretches.flatMap((stretch) => stretch.marks);
    const versions = this.book().of(tub);
    const heard = await this.store.span(tub);
    if (versions.length === 0 || !heard) {
      await this.store.putDays(tub, [], marks);
      return;
    }
    const zone = versions.at(-1)!.settings.place.timeZone;
    const changed = new Set(
      stretches.flatMap((stretch) => datesIn(stretch, shelf.figures, heard, zone)),
    );
    const dates = [...new Set([...shelf.figures.keys(), ...changed])].sort();
    const source = {
      quarters: (from: number, to: number) => this.store.ledger(tub, from, to),
      traces: (points: readonly string[], from: number, to: number) =>
        this.store.traces(tub, points, from, to),
    };
    const work = new DayWork(shelf.figures, source, versions, heard.to);
    const told = await work.run(dates, changed);
    await this.store.putDays(
      tub,
      told.map((date) => shelf.figures.get(date)!),
      marks,
    );
    this.told(tub, told);
  }
}

/** The dates that a stretch may have changed: those with quarters in it, and those known before. */
export function datesIn(
  { from, to, spans }: Pick<Finished, 'from' | 'to' | 'spans'>,
  known: ReadonlyMap<string, unknown>,
  heard: Span,
  zone: string,
): string[] {
  const [first, last] = [localDate(from, zone), localDate(to + NIGHT_MS, zone)];
  const dates = [...known.keys()].filter((date) => date >= first && date <= last);
  for (const span of spans) {
    const end = Math.min(span.to + NIGHT_MS, heard.to + 1);
    let t = Math.max(span.from, heard.from);
    for (; t < end; t = dayBounds(localDate(t, zone), zone).to) dates.push(localDate(t, zone));
  }
  return dates;
}
