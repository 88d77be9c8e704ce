import { setImmediate as turn } from 'node:timers/promises';
import { type AlertChange, type AlertRecord, keyOf } from '../../model/alerts/alert-life.ts';
import { type DayFacts, Rounds, WARM_UP_MS } from '../../model/alerts/rounds.ts';
import { addDays, dayBounds, localDate } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import { nothingOutside, type Outside, type WorkingStates } from '../../model/minutes/minute.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import { rules } from '../../model/rules/rules.ts';
import type { SettingsVersion } from '../../model/tub-settings.ts';
import type { Clock } from '../clock.ts';
import type { KeptAlert, Store } from '../store/store.ts';
import { learnedBy } from './known-then.ts';
import type { SetupBook } from './setup-book.ts';

/** Readings of a minute are waited for this long before it is judged. [ms] */
const WAITS_MS = 5_000;
/** How much is judged in one go, so that nothing else waits long. [ms] */
const SLICE_MS = 3 * HOUR;
/** How often what stands is written though nothing changed: what it costs, and how far rounds came. */
const KEEPS_EVERY_MS = 15 * MINUTE;
/** Rounds can go back this far for readings that come a little late. [ms] */
const GOES_BACK_MS = 20 * MINUTE;
const COPIES_EVERY_MS = 10 * MINUTE;
/** Backlogs come in bursts: the past is gone through again once nothing late came for this long. [ms] */
const GATHERS_MS = 20_000;
/** A day whose evidence does not come is judged without it after this long. [ms] */
const DAY_WAITS_MS = 3 * HOUR;

interface Shelf {
  /** null until the past has been gone through once. */
  rounds: Rounds | null;
  copies: { t: number; copy: unknown }[];
  keptAt: number;
  /** The oldest reading that came after its minute was judged [ms]. */
  late: number | null;
  /** From where the past is to be gone through again, and when that was last asked for. */
  again: { from: number; askedAt: number } | null;
  /** Whatever is done with the rounds of the tub, one thing after the other. */
  line: Promise<void>;
}

/**
 * The rounds of all tubs, live: minute after minute as time goes on, a little way back where readings
 * come a little late, and through the past again where they come later, quietly.
 */
export class RoundsBook {
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly book: () => SetupBook;
  private readonly figures: (tub: string, date: string) => DayFigures | null;
  private readonly isBehind: (tub: string) => boolean;
  private readonly outside: (tub: string) => Outside;
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
    this.figures = parts.figures;
    this.isBehind = parts.isBehind;
    this.outside = parts.outside;
    this.told = parts.told;
  }

  /** What is so with a tub at an instant; null where its minutes have not come that far. */
  statesAt(tub: string, at: number): WorkingStates | null {
    const minute = this.shelves.get(tub)?.rounds?.now;
    return minute && at - minute.t <= 3 * MINUTE ? minute.states : null;
  }

  /** Says that readings of a tub were kept, the oldest at `oldest` [ms]. */
  heard(tub: string, oldest: number): void {
    const shelf = this.shelf(tub);
    if (!shelf.rounds || oldest >= shelf.rounds.t) return;
    shelf.late = Math.min(shelf.late ?? oldest, oldest);
  }

  /** Says that the past from an instant on is to be gone through again. */
  goAgain(tub: string, from: number): void {
    const shelf = this.shelf(tub);
    const before = shelf.again?.from ?? Number.POSITIVE_INFINITY;
    shelf.again = { from: Math.min(before, from), askedAt: this.clock.now() };
  }

  /** The set-up of a tub changed; what was judged stays as it was. */
  setUp(tub: string, versions: readonly SettingsVersion[]): void {
    if (versions.length > 0) this.shelves.get(tub)?.rounds?.setUp(versions);
    else this.shelves.delete(tub);
  }

  forget(tub: string): void {
    this.shelves.delete(tub);
  }

  /** To be called every second or so: judges the minutes that are over. */
  async tick(): Promise<void> {
    for (const { id } of this.book().current.tubs) {
      if (this.stopped) return;
      const shelf = this.shelf(id);
      await inTurn(shelf, () => this.goOn(id, shelf));
    }
  }

  async stop(): Promise<void> {
    this.stopped = true;
    for (const { line } of this.shelves.values()) await line;
  }

  private shelf(tub: string): Shelf {
    const known = this.shelves.get(tub);
    if (known) return known;
    const line = Promise.resolve();
    const made: Shelf = { rounds: null, copies: [], keptAt: 0, late: null, again: null, line };
    this.shelves.set(tub, made);
    return made;
  }

  private async goOn(tub: string, shelf: Shelf): Promise<void> {
    if (!shelf.rounds) {
      const begun = await this.begin(tub);
      if (!begun) return;
      shelf.rounds = begun;
    }
    this.takeLate(tub, shelf, shelf.rounds);
    const { again } = shelf;
    if (again && this.clock.now() - again.askedAt >= GATHERS_MS && !this.isBehind(tub)) {
      shelf.again = null;
      shelf.rounds = await this.through(tub, again.from, shelf.rounds);
      shelf.copies = [];
    }
    const changes = await this.advance(tub, shelf.rounds, this.judgedUpTo());
    const { t } = shelf.rounds;
    if (t - (shelf.copies.at(-1)?.t ?? 0) >= COPIES_EVERY_MS) {
      shelf.copies = [...shelf.copies.slice(-2), { t, copy: shelf.rounds.copy() }];
    }
    if (changes.length > 0 || t - shelf.keptAt >= KEEPS_EVERY_MS) {
      await this.keep(tub, shelf.rounds, changes, []);
      shelf.keptAt = t;
    }
    this.tell(tub, changes);
  }

  /** Goes back a little for readings that came a little late, or sees to it that all is gone through. */
  private takeLate(tub: string, shelf: Shelf, rounds: Rounds): void {
    const { late } = shelf;
    shelf.late = null;
    if (late === null || late >= rounds.t) return;
    const copy = shelf.copies.findLast(({ t }) => t <= late);
    if (copy && late >= rounds.t - GOES_BACK_MS) {
      rounds.goBackTo(copy.copy);
      shelf.copies = shelf.copies.filter(({ t }) => t <= copy.t);
    } else this.goAgain(tub, late);
  }

  /** The last whole minute whose readings should all be there. */
  private judgedUpTo(): number {
    return Math.floor((this.clock.now() - WAITS_MS) / MINUTE) * MINUTE;
  }

  /** Takes up rounds where they were left; null where there is nothing to go round in. */
  private async begin(tub: string): Promise<Rounds | null> {
    const versions = this.book().of(tub);
    const heard = await this.store.span(tub);
    if (versions.length === 0 || !heard) return null;
    const { days, to } = await this.store.rounds(tub);
    const standing = await this.store.alerts(tub, true);
    if (to === null) return this.isBehind(tub) ? null : this.through(tub, heard.from, null);
    const zone = versions.at(-1)!.settings.place.timeZone;
    const from = dayBounds(localDate(to - WARM_UP_MS, zone), zone).from;
    const rounds = new Rounds({ rules, versions, from, days, standing });
    const known = new Set(days.map(dateOf));
    const { changes, facts } = await this.step(tub, rounds, to, { isWarmUp: true, known });
    if (facts.length > 0) await this.keep(tub, rounds, changes, facts);
    this.tell(tub, changes);
    return rounds;
  }

  /**
   * Goes through the past again from `from` on, up to where rounds now are, and beyond. Alerts that are
   * over by now are entered quietly; what was told stays as it was told.
   */
  private async through(tub: string, from: number, old: Rounds | null): Promise<Rounds> {
    const versions = this.book().of(tub);
    const zone = versions.at(-1)!.settings.place.timeZone;
    const first = localDate(from, zone);
    const begin = dayBounds(localDate(from - WARM_UP_MS, zone), zone).from;
    const { days } = await this.store.rounds(tub);
    const before = days.filter(({ date }) => date < first);
    const rounds = new Rounds({ rules, versions, from: begin, days: before });
    const known = new Set(before.map(dateOf));
    await this.step(tub, rounds, from, { isWarmUp: true, known });
    const to = Math.max(old?.t ?? 0, this.judgedUpTo());
    const { changes, facts } = await this.step(tub, rounds, to, { isWarmUp: false, known });
    const kept = await this.store.alerts(tub, false);
    const found = changes.flatMap(({ kind, alert }) => (kind === 'raised' ? alert : []));
    const added = found.filter((alert) => !kept.some((other) => overlap(alert, other)));
    for (const [key, alert] of [...rounds.life.standing]) {
      if (!added.includes(alert)) rounds.life.standing.delete(key);
    }
    for (const alert of kept.filter(({ until }) => until === null)) {
      rounds.life.standing.set(keyOf(alert.fault, alert.point), alert);
    }
    await this.store.putRounds(tub, {
      alerts: added,
      setupId: this.book().newest?.id ?? null,
      days: facts,
      to: rounds.t,
      dropBefore: null,
    });
    this.tell(
      tub,
      added.map((alert) => ({ kind: 'raised', alert })),
    );
    return rounds;
  }

  private async advance(tub: string, rounds: Rounds, to: number): Promise<AlertChange[]> {
    const { changes, facts } = await this.step(tub, rounds, to, { isWarmUp: false, known: null });
    if (facts.length > 0) await this.keep(tub, rounds, changes, facts);
    return changes;
  }

  /** Judges up to an instant, in slices, and the days that end on the way. */
  private async step(
    tub: string,
    rounds: Rounds,
    to: number,
    { isWarmUp, known }: { isWarmUp: boolean; known: ReadonlySet<string> | null },
  ): Promise<{ changes: AlertChange[]; facts: DayFacts[] }> {
    const changes: AlertChange[] = [];
    const facts: DayFacts[] = [];
    const points = await this.store.points(tub);
    while (rounds.t + MINUTE <= to && !this.stopped) {
      const until = Math.min(rounds.t + SLICE_MS, to);
      const traces = await this.store.traces(tub, points, rounds.t, until);
      if (isWarmUp) rounds.warmUp(traces, until);
      else changes.push(...rounds.advance(traces, until, this.outsideAt(tub, until)));
      const closed = await this.closeDays(tub, rounds, known);
      changes.push(...closed.changes);
      facts.push(...closed.facts);
      await turn();
    }
    return { changes, facts };
  }

  /** What is known outside of the readings is known of the present alone. */
  private outsideAt(tub: string, t: number): Outside {
    return this.clock.now() - t < 2 * MINUTE + WAITS_MS ? this.outside(tub) : nothingOutside;
  }

  private async closeDays(tub: string, rounds: Rounds, known: ReadonlySet<string> | null) {
    const changes: AlertChange[] = [];
    const facts: DayFacts[] = [];
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
      facts.push(closed.facts);
      changes.push(...closed.changes);
    }
    return { changes, facts };
  }

  private async keep(
    tub: string,
    rounds: Rounds,
    changes: readonly AlertChange[],
    days: readonly DayFacts[],
  ): Promise<void> {
    const alerts = new Set<AlertRecord>([
      ...changes.map(({ alert }) => alert),
      ...rounds.life.standing.values(),
    ]);
    const newest = days.at(-1)?.date;
    await this.store.putRounds(tub, {
      alerts: [...alerts],
      setupId: this.book().newest?.id ?? null,
      days,
      to: rounds.t,
      dropBefore: newest === undefined ? null : addDays(newest, -Rounds.MOST_DAYS),
    });
  }

  private tell(tub: string, changes: readonly AlertChange[]): void {
    if (changes.length > 0) this.told(tub, changes);
  }
}

const dateOf = ({ date }: DayFacts): string => date;

/** Whether two alerts are about the same, at the same time. */
function overlap(a: AlertRecord, b: KeptAlert): boolean {
  if (a.fault !== b.fault || a.point !== b.point) return false;
  const end = (alert: { until: number | null }) => alert.until ?? Number.POSITIVE_INFINITY;
  return a.since <= end(b) && b.since <= end(a);
}

function inTurn(shelf: Shelf, work: () => Promise<void>): Promise<void> {
  const done = shelf.line.then(work);
  shelf.line = done.catch(() => {}); // whoever asked is told
  return done;
}
