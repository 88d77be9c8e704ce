import { dayBounds, localDate, type Span } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { LearnedDay } from '../../model/learned-since.ts';
import { HOUR } from '../../model/readings.ts';
import { type Spoilt, spoiltBy } from '../../model/spoilt.ts';
import type { DirtyMark, Store } from '../store/store.ts';
import { DayWork, nothingAround } from './day-work.ts';
import type { Finished } from './ledger-work.ts';
import type { SetupBook } from './setup-book.ts';

/** A night belongs to the day on which it ends, from noon on. */
const NIGHT_MS = 12 * HOUR;

/** Stretches that are worked out in one run, and when that has been done. */
interface Batch {
  stretches: Finished[];
  /** Whether what faults spoil is to be read again. */
  isJudged: boolean;
  done: Promise<void>;
}

interface Shelf {
  figures: ReadonlyMap<string, DayFigures>;
  /** What faults spoil; null where that is to be read. */
  spoilt: readonly Spoilt[] | null;
  /** The run that waits for its turn, and takes what comes until then. */
  next: Batch | null;
  /** Whatever is done with the days of the tub, one thing after the other, and how much that is. */
  line: Promise<void>;
  waiting: number;
}

/**
 * The whole days of all tubs, kept worked out behind the ledger, beside what is live. What is read,
 * worked out, written and forgotten of a tub is done in turn. The marks of a stretch go when its days
 * are written, so that a service that was killed in between begins them again.
 */
export class DaysBook {
  private readonly store: Store;
  private readonly book: () => SetupBook;
  private readonly told: (tub: string, dates: readonly string[]) => void;
  private readonly shelves = new Map<string, Shelf>();
  private stopped = false;

  constructor(parts: {
    store: Store;
    book: () => SetupBook;
    /** Called with the dates whose figures changed. */
    told: (tub: string, dates: readonly string[]) => void;
  }) {
    this.store = parts.store;
    this.book = parts.book;
    this.told = parts.told;
  }

  /** Reads what is stored of some tubs. */
  async load(tubs: readonly string[]): Promise<void> {
    for (const tub of tubs) {
      const shelf = this.shelf(tub);
      await inTurn(shelf, async () => {
        const days = await this.store.days(tub);
        shelf.figures = new Map(days.map((day) => [day.date, day]));
        shelf.spoilt = null;
      });
    }
  }

  figures(tub: string, date: string): DayFigures | null {
    return this.shelves.get(tub)?.figures.get(date) ?? null;
  }

  /** Whether days of a tub are being worked out. */
  isBusy(tub: string): boolean {
    return (this.shelves.get(tub)?.waiting ?? 0) > 0;
  }

  /** What is learned of each day, in no order. */
  learned(tub: string): LearnedDay[] {
    return [...(this.shelves.get(tub)?.figures.values() ?? [])];
  }

  /**
   * Takes a stretch whose quarters are worked out; resolves once its days are written.
   *
   * @throws whatever hindered that: its marks are then still in the store
   */
  add(stretch: Finished): Promise<void> {
    return this.queue(stretch.tub, (batch) => batch.stretches.push(stretch));
  }

  /**
   * Says that alerts of a tub may be others than when its days were worked out: those that this changes are
   * worked out again. A day knows what spoilt it, so that one that was missed is found the next time.
   */
  judged(tub: string): Promise<void> {
    return this.queue(tub, (batch) => {
      batch.isJudged = true;
    });
  }

  private queue(tub: string, add: (batch: Batch) => void): Promise<void> {
    const shelf = this.shelf(tub);
    const batch = shelf.next ?? this.batch(tub, shelf);
    add(batch);
    return batch.done;
  }

  private batch(tub: string, shelf: Shelf): Batch {
    const batch: Batch = { stretches: [], isJudged: false, done: Promise.resolve() };
    shelf.next = batch;
    batch.done = inTurn(shelf, async () => {
      shelf.next = null;
      if (batch.isJudged) shelf.spoilt = null;
      if (!this.stopped) await this.run(tub, shelf, batch.stretches);
    });
    return batch;
  }

  async settled(): Promise<void> {
    for (const shelf of this.shelves.values()) {
      for (let seen: Promise<void> | null = null; seen !== shelf.line; ) {
        seen = shelf.line;
        await seen;
      }
    }
  }

  async stop(): Promise<void> {
    this.stopped = true;
    await this.settled();
  }

  /** Forgets a tub, or all of its days where its dates are no longer what they were. */
  async forget(tub: string): Promise<void> {
    const shelf = this.shelf(tub);
    await inTurn(shelf, async () => {
      await this.store.clearDays(tub);
      shelf.figures = new Map();
    });
  }

  private shelf(tub: string): Shelf {
    const known = this.shelves.get(tub);
    if (known) return known;
    const made: Shelf = {
      figures: new Map(),
      spoilt: null,
      next: null,
      line: Promise.resolve(),
      waiting: 0,
    };
    this.shelves.set(tub, made);
    return made;
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
    const figures = new Map(shelf.figures);
    const changed = new Set(stretches.flatMap((stretch) => datesIn(stretch, figures, heard, zone)));
    const dates = [...new Set([...figures.keys(), ...changed])].sort();
    const source = {
      quarters: (from: number, to: number) => this.store.ledger(tub, from, to),
      traces: (points: readonly string[], from: number, to: number) =>
        this.store.traces(tub, points, from, to),
    };
    shelf.spoilt ??= spoiltBy(await this.store.alerts(tub, false));
    const around = { ...nothingAround, spoilt: shelf.spoilt };
    const told = await new DayWork(figures, source, versions, heard.to, around).run(dates, changed);
    const days = told.map((date) => figures.get(date)!);
    await this.store.putDays(tub, days, marks);
    // only now: a day that is known here and could not be written would pass for unchanged next time
    shelf.figures = figures;
    this.told(tub, told);
  }
}

/** Does a thing with the days of a tub once all that was asked for before is done. */
function inTurn(shelf: Shelf, work: () => Promise<void>): Promise<void> {
  shelf.waiting++;
  const done = shelf.line.then(work).finally(() => {
    shelf.waiting--;
  });
  shelf.line = done.catch(() => {}); // whoever asked is told
  return done;
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
