import { setImmediate as turn } from 'node:timers/promises';
import type { AlertChange } from '../../model/alerts/alert-life.ts';
import type { DayFacts, Rounds } from '../../model/alerts/rounds.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import { nothingOutside, type Outside } from '../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Clock } from '../clock.ts';
import type { Store } from '../store/store.ts';
import { learnedBy } from './known-then.ts';
import type { SetupBook } from './setup-book.ts';

/** How much is judged in one go, so that nothing else waits long. [ms] */
export const SLICE_MS = HOUR;
/** A day whose evidence does not come is judged without it after this long. [ms] */
const DAY_WAITS_MS = 3 * HOUR;
/** The present is what is no older than this, with what readings are waited for. [ms] */
const PRESENT_MS = 2 * MINUTE + 5_000;

/** What judging brought. */
export interface Found {
  changes: AlertChange[];
  facts: DayFacts[];
}

export const nothingFound = (): Found => ({ changes: [], facts: [] });

/** How a way through readings is gone. */
export interface Gait {
  /** Rounds only get to know what is so. */
  isWarmUp: boolean;
  /** Dates that were judged already, and are left so; null where there are none. */
  known: ReadonlySet<string> | null;
}

/** Who goes: is told how far readings were taken [ms], and may break off. */
export interface Walker {
  taken(t: number): void;
  isOver(): boolean;
}

export const LIVE: Gait = { isWarmUp: false, known: null };

/** Takes a tub's rounds through the store's readings: minutes in slices, and each day once it is over. */
export class RoundsWalk {
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly book: () => SetupBook;
  private readonly figures: (tub: string, date: string) => DayFigures | null;
  private readonly outside: (tub: string) => Outside;

  constructor(parts: {
    store: Store;
    clock: Clock;
    book: () => SetupBook;
    figures: (tub: string, date: string) => DayFigures | null;
    outside: (tub: string) => Outside;
  }) {
    this.store = parts.store;
    this.clock = parts.clock;
    this.book = parts.book;
    this.figures = parts.figures;
    this.outside = parts.outside;
  }

  /**
   * Judges up to an instant, in slices, and each day once it is over; adds what that brings to `found`, where
   * it is not lost if the store then fails.
   */
  async go(
    tub: string,
    rounds: Rounds,
    to: number,
    walker: Walker,
    { isWarmUp, known }: Gait,
    found: Found,
  ): Promise<void> {
    // asked every second, and a minute is over once in sixty
    const points = rounds.t + MINUTE <= to ? await this.store.points(tub) : [];
    while (rounds.t + MINUTE <= to && !walker.isOver()) {
      if (rounds.isLongSilent) {
        const [next] = await this.store.page(tub, points, rounds.t, to, 1);
        rounds.skipTo(next?.t ?? to);
      }
      const dayOver = rounds.dayOverAt > rounds.t ? rounds.dayOverAt : to;
      const until = Math.min(rounds.t + SLICE_MS, dayOver, to);
      walker.taken(until);
      const traces = await this.store.traces(tub, points, rounds.t, until);
      if (isWarmUp) rounds.warmUp(traces, until);
      else found.changes.push(...rounds.advance(traces, until, this.outsideAt(tub, until)));
      await this.closeDays(tub, rounds, known, found);
      if (rounds.t + MINUTE <= to) await turn();
    }
  }

  /** What is known outside of the readings is known of the present alone. */
  private outsideAt(tub: string, t: number): Outside {
    return this.clock.now() - t < PRESENT_MS ? this.outside(tub) : nothingOutside;
  }

  /** Judges the days that are over, as far as what they tell has been worked out; adds to `found`. */
  async closeDays(
    tub: string,
    rounds: Rounds,
    known: ReadonlySet<string> | null,
    found: Found,
  ): Promise<void> {
    for (let day = rounds.waiting[0]; day; day = rounds.waiting[0]) {
      const { date, bounds } = day;
      if (known?.has(date)) {
        rounds.passDay();
        continue;
      }
      const figures = (day: string) => this.figures(tub, day);
      const evidence = figures(date)?.evidence ?? null;
      if (!evidence && this.clock.now() < bounds.to + DAY_WAITS_MS) break;
      const settings = rounds.settingsAt(bounds.to - 1);
      const quarters = await this.store.ledger(tub, bounds.from, bounds.to);
      const learned = learnedBy(date, this.book().of(tub), figures);
      const closed = rounds.closeDay({ date, bounds, settings, quarters, evidence, learned });
      found.facts.push(closed.facts);
      found.changes.push(...closed.changes);
    }
  }
}
