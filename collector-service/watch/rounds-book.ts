import { setImmediate as turn } from 'node:timers/promises';
import type { AlertChange, AlertRecord } from '../../model/alerts/alert-life.ts';
import { type DayFacts, Rounds, WARM_UP_MS } from '../../model/alerts/rounds.ts';
import { addDays, dayBounds, localDate } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Outside, WorkingStates } from '../../model/minutes/minute.ts';
import { MINUTE } from '../../model/readings.ts';
import { rules } from '../../model/rules/rules.ts';
import type { Clock } from '../clock.ts';
import type { RoundsLeft, Store } from '../store/store.ts';
import { settled } from './past-settled.ts';
import {
  type Found,
  LIVE,
  nothingFound,
  RoundsWalk,
  SLICE_MS,
  type Walker,
} from './rounds-walk.ts';
import type { SetupBook } from './setup-book.ts';

/** Readings of a minute are waited for this long before it is judged. [ms] */
const WAITS_MS = 5_000;
/** How often what stands is written though nothing changed: what it costs, and how far rounds came. */
const KEEPS_EVERY_MS = 15 * MINUTE;
/** Rounds can go back this far for readings that come a little late. [ms] */
const GOES_BACK_MS = 20 * MINUTE;
const COPIES_EVERY_MS = 10 * MINUTE;
/** Backlogs come in bursts: the past is gone through again once nothing late came for this long. [ms] */
const GATHERS_MS = 20_000;
/** Nothing heard for longer than this before a start: the service was away. [ms] */
const AWAY_MS = 3 * MINUTE;
/** Where late readings never cease, it is gone through again all the same after this long. [ms] */
const GATHERS_AT_MOST_MS = 10 * MINUTE;
/** Rounds that are farther ahead of the clock than this were there before somebody set it back. [ms] */
const AHEAD_MS = 2 * MINUTE;

interface Shelf {
  /** null until the past has been gone through once. */
  rounds: Rounds | null;
  copies: { t: number; copy: unknown }[];
  /** What was judged and could not be written yet. */
  unkept: Found;
  keptAt: number;
  /** Up to when readings were taken by the rounds that are under way [ms]; null before there are any. */
  taken: number | null;
  /** The oldest reading that came after it should have been taken [ms]. */
  late: number | null;
  /** From where the past is to be gone through again, and when that was first and last asked for. */
  again: { from: number; firstAt: number; lastAt: number } | null;
  /** Which of what stands could be seen when that was written. */
  seen: string;
  /** What is being done with the rounds of the tub. */
  work: Promise<void> | null;
}

/**
 * The rounds of all tubs, live: minute after minute as time goes on, a little way back where readings
 * come a little late, and through the past again where they come later, quietly.
 */
export class RoundsBook {
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly book: () => SetupBook;
  private readonly isBehind: (tub: string) => boolean;
  private readonly walk: RoundsWalk;
  private readonly told: (tub: string, changes: readonly AlertChange[]) => void;
  private readonly shelves = new Map<string, Shelf>();
  private stopped = false;

  constructor(parts: {
    store: Store;
    clock: Clock;
    book: () => SetupBook;
    figures: (tub: string, date: string) => DayFigures | null;
    /** Whether days of the past are being worked out: the past is gone through once they are. */
    isBehind: (tub: string) => boolean;
    outside: (tub: string) => Outside;
    /** Called once what changed is written. */
    told: (tub: string, changes: readonly AlertChange[]) => void;
  }) {
    this.store = parts.store;
    this.clock = parts.clock;
    this.book = parts.book;
    this.isBehind = parts.isBehind;
    this.walk = new RoundsWalk(parts);
    this.told = parts.told;
  }

  /** What is so with a tub at an instant; null where its minutes have not come that far. */
  statesAt(tub: string, at: number): WorkingStates | null {
    const minute = this.shelves.get(tub)?.rounds?.now;
    return minute && at - minute.t <= 3 * MINUTE ? minute.states : null;
  }

  /** Says that readings of a tub were kept, the oldest at `oldest` [ms]. */
  heard(tub: string, oldest: number): void {
    if (this.book().of(tub).length === 0) return;
    const shelf = this.shelf(tub);
    if (oldest >= (shelf.taken ?? Number.POSITIVE_INFINITY)) return;
    shelf.late = Math.min(shelf.late ?? oldest, oldest);
  }

  /** Says that somebody called an alert no fault. */
  dismissed(tub: string, id: string): void {
    this.shelves.get(tub)?.rounds?.life.dismiss(id);
  }

  /** Forgets a tub that is not set up any more. */
  forget(tub: string): void {
    this.shelves.delete(tub);
  }

  /**
   * To be called every second or so: judges the minutes that are over. Tubs do not wait for each other, nor
   * for one that is still busy with its past.
   */
  async tick(): Promise<void> {
    const idle = this.book().current.tubs.filter(({ id }) => this.shelf(id).work === null);
    await Promise.all(idle.map(({ id }) => this.goOn(id, this.shelf(id))));
  }

  async stop(): Promise<void> {
    this.stopped = true;
    await Promise.allSettled([...this.shelves.values()].map(({ work }) => work));
  }

  private shelf(tub: string): Shelf {
    const known = this.shelves.get(tub);
    if (known) return known;
    const made: Shelf = {
      rounds: null,
      copies: [],
      unkept: nothingFound(),
      keptAt: 0,
      taken: null,
      late: null,
      again: null,
      seen: '',
      work: null,
    };
    this.shelves.set(tub, made);
    return made;
  }

  private walker(tub: string, shelf: Shelf): Walker {
    return {
      taken: (t) => {
        shelf.taken = t;
      },
      isOver: () => this.isOver(tub, shelf),
    };
  }

  private async goOn(tub: string, shelf: Shelf): Promise<void> {
    if (this.stopped) return;
    shelf.work = this.goRound(tub, shelf).finally(() => {
      shelf.work = null;
    });
    await shelf.work;
  }

  private async goRound(tub: string, shelf: Shelf): Promise<void> {
    shelf.rounds ??= await this.begin(tub, shelf);
    if (!shelf.rounds || this.isOver(tub, shelf)) return;
    this.takeSetup(tub, shelf, shelf.rounds);
    this.takeLate(shelf, shelf.rounds);
    await this.takeClock(tub, shelf, shelf.rounds);
    if (shelf.again && this.isTimeFor(shelf.again) && !this.isBehind(tub)) {
      const again = await this.through(tub, shelf, shelf.again.from, shelf.rounds);
      if (!again) return;
      shelf.rounds = again;
      shelf.copies = [];
    }
    const { rounds } = shelf;
    const walker = this.walker(tub, shelf);
    const { unkept } = shelf;
    await this.walk.go(tub, rounds, this.judgedUpTo(), walker, LIVE, unkept);
    if (this.shelves.get(tub) !== shelf) return;
    const { t } = rounds;
    if (t - (shelf.copies.at(-1)?.t ?? 0) >= COPIES_EVERY_MS) {
      shelf.copies = [...shelf.copies.slice(-2), { t, copy: rounds.copy() }];
    }
    const isDue = t - shelf.keptAt >= KEEPS_EVERY_MS || shelf.seen !== seenOf(rounds);
    if (isDue || unkept.changes.length + unkept.facts.length > 0) await this.keep(tub, shelf);
  }

  /** Whether nothing more is to be done: what is half done is left, and begun again another time. */
  private isOver(tub: string, shelf: Shelf): boolean {
    return this.stopped || this.shelves.get(tub) !== shelf;
  }

  /** Takes the set-up and the log that now hold; what was judged by what they change is judged again. */
  private takeSetup(tub: string, shelf: Shelf, rounds: Rounds): void {
    const versions = this.book().of(tub);
    const { timeZone } = rounds;
    const from = rounds.unlikeFrom(versions);
    rounds.setUp(versions);
    if (rounds.timeZone !== timeZone) this.goAgain(shelf, 0);
    else if (from < rounds.t) this.goAgain(shelf, Math.max(0, from));
  }

  /** Sees to it that the past is gone through again from an instant on. */
  private goAgain(shelf: Shelf, from: number): void {
    const now = this.clock.now();
    const { again } = shelf;
    shelf.again = {
      from: Math.min(again?.from ?? from, from),
      firstAt: again?.firstAt ?? now,
      lastAt: now,
    };
    shelf.keptAt = 0;
  }

  private isTimeFor({ firstAt, lastAt }: NonNullable<Shelf['again']>): boolean {
    const now = this.clock.now();
    // a clock that was set back since then says nothing of how long that is ago
    if (now < lastAt) return true;
    return now - lastAt >= GATHERS_MS || now - firstAt >= GATHERS_AT_MOST_MS;
  }

  /** Goes back a little for readings that came a little late, or sees to it that all is gone through. */
  private takeLate(shelf: Shelf, rounds: Rounds): void {
    const { late } = shelf;
    shelf.late = null;
    if (late === null || late >= rounds.t) return;
    const copy = shelf.copies.findLast(({ t }) => t <= late);
    if (copy && late >= rounds.t - GOES_BACK_MS) {
      rounds.goBackTo(copy.copy);
      shelf.copies = shelf.copies.filter(({ t }) => t <= copy.t);
      shelf.taken = rounds.t;
      shelf.keptAt = 0;
    } else this.goAgain(shelf, late);
  }

  /** Where the clock was set back, minutes that it had not seen yet are to be judged when they come. */
  private async takeClock(tub: string, shelf: Shelf, rounds: Rounds): Promise<void> {
    if (rounds.t <= this.judgedUpTo() + AHEAD_MS || shelf.again) return;
    const heard = await this.store.span(tub);
    const to = Math.max(this.judgedUpTo(), minuteOf(heard?.to ?? 0));
    if (rounds.t > to + AHEAD_MS) this.goAgain(shelf, to);
  }

  /** The last whole minute whose readings should all be there. */
  private judgedUpTo(): number {
    return minuteOf(this.clock.now() - WAITS_MS);
  }

  /** Takes up rounds where they were left; null where there is nothing to go round in. */
  private async begin(tub: string, shelf: Shelf): Promise<Rounds | null> {
    const versions = this.book().of(tub);
    const heard = await this.store.span(tub);
    if (versions.length === 0 || !heard) return null;
    const { days, to, left } = await this.store.rounds(tub);
    if (to === null) {
      if (this.isBehind(tub)) return null;
      shelf.late = null;
      return this.through(tub, shelf, heard.from, null);
    }
    const standing = await this.store.alerts(tub, true);
    const zone = versions.at(-1)!.settings.place.timeZone;
    const from = dayBounds(localDate(to - WARM_UP_MS, zone), zone).from;
    const showing = left && { showing: new Map(left.showing) };
    const rounds = new Rounds({ rules, versions, from, days, standing, ...showing });
    for (const { id, dismissedAt } of standing) if (dismissedAt !== null) rounds.life.dismiss(id);
    const known = new Set(days.map(dateOf));
    const walker = this.walker(tub, shelf);
    const warmUp = { isWarmUp: true, known };
    const found = nothingFound();
    await this.walk.go(tub, rounds, to, walker, warmUp, found);
    if (this.isOver(tub, shelf)) return null;
    if (left && left.again !== null) this.goAgain(shelf, left.again);
    shelf.rounds = rounds;
    shelf.unkept = found;
    await this.passAbsence(tub, shelf, rounds, minuteOf(heard.to));
    if (this.isOver(tub, shelf)) return null;
    if (found.changes.length + found.facts.length > 0) await this.keep(tub, shelf);
    return rounds;
  }

  /** Judges what was heard before the service went away, and passes over the time since. */
  private async passAbsence(tub: string, shelf: Shelf, rounds: Rounds, newest: number) {
    const upTo = Math.min(newest, this.judgedUpTo());
    await this.walk.go(tub, rounds, upTo, this.walker(tub, shelf), LIVE, shelf.unkept);
    while (this.judgedUpTo() - rounds.t > AWAY_MS && !this.isOver(tub, shelf)) {
      const dayOver = rounds.dayOverAt > rounds.t ? rounds.dayOverAt : Number.POSITIVE_INFINITY;
      rounds.beAway(Math.min(rounds.t + SLICE_MS, dayOver, this.judgedUpTo()));
      await this.walk.closeDays(tub, rounds, null, shelf.unkept);
      shelf.taken = rounds.t;
      await turn();
    }
  }

  /**
   * Goes through the past again from `from` on, up to where rounds now are, and beyond. Alerts that are
   * over by now are entered quietly; what was told stays as it was told, but ends when its fault did. null
   * where that was broken off: it is then still to be done.
   */
  private async through(
    tub: string,
    shelf: Shelf,
    since: number,
    old: Rounds | null,
  ): Promise<Rounds | null> {
    const asked = shelf.again;
    const versions = this.book().of(tub);
    const zone = versions.at(-1)!.settings.place.timeZone;
    const heard = await this.store.span(tub);
    const from = minuteOf(Math.max(since, heard?.from ?? since));
    const first = localDate(from, zone);
    const begin = dayBounds(localDate(from - WARM_UP_MS, zone), zone).from;
    const before = (await this.store.rounds(tub)).days.filter(({ date }) => date < first);
    const rounds = new Rounds({ rules, versions, from: begin, days: before });
    const known = new Set(before.map(dateOf));
    const walker = this.walker(tub, shelf);
    const found = nothingFound();
    await this.walk.go(tub, rounds, from, walker, { isWarmUp: true, known }, found);
    const newest = minuteOf(heard?.to ?? 0);
    const to = Math.max(this.judgedUpTo(), Math.min(old?.t ?? 0, newest));
    await this.walk.go(tub, rounds, to, walker, { isWarmUp: false, known }, found);
    if (this.isOver(tub, shelf)) return null;
    const added = settled(await this.store.alerts(tub, false), rounds, found.changes);
    const again = shelf.again === asked ? null : shelf.again;
    await this.store.putRounds(tub, {
      alerts: added.map(({ alert }) => alert),
      setupId: this.book().newest?.id ?? null,
      days: found.facts,
      to: rounds.t,
      dropBefore: null,
      left: leftOf(again, rounds),
    });
    // only now: what could not be written is still to be gone through
    if (shelf.again === asked) shelf.again = null;
    shelf.unkept = nothingFound();
    this.tell(tub, added);
    return rounds;
  }

  /** Writes what stands and what was judged; where that fails, it is still to be written. */
  private async keep(tub: string, shelf: Shelf): Promise<void> {
    const rounds = shelf.rounds!;
    const { changes, facts: days } = shelf.unkept;
    const alerts = new Set<AlertRecord>([
      ...changes.map(({ alert }) => alert),
      ...rounds.life.standing.values(),
    ]);
    const newest = days.at(-1)?.date;
    const seen = seenOf(rounds);
    await this.store.putRounds(tub, {
      alerts: [...alerts],
      setupId: this.book().newest?.id ?? null,
      days,
      to: rounds.t,
      dropBefore: newest === undefined ? null : addDays(newest, -Rounds.MOST_DAYS),
      left: leftOf(shelf.again, rounds),
    });
    shelf.unkept = nothingFound();
    shelf.keptAt = rounds.t;
    shelf.seen = seen;
    this.tell(tub, changes);
  }

  private tell(tub: string, changes: readonly AlertChange[]): void {
    if (changes.length > 0) this.told(tub, changes);
  }
}

const minuteOf = (t: number): number => Math.floor(t / MINUTE) * MINUTE;

const dateOf = ({ date }: DayFacts): string => date;

const leftOf = (again: Shelf['again'], { life }: Rounds): RoundsLeft => ({
  showing: [...life.showing],
  again: again?.from ?? null,
});

const seenOf = ({ life: { standing } }: Rounds): string =>
  [...standing.values()].flatMap((alert) => (alert.unknownSince === null ? alert.id : [])).join();
