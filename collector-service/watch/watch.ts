import { randomBytes } from 'node:crypto';
import { isDeepStrictEqual } from 'node:util';
import type { AlertChange } from '../../model/alerts/alert-life.ts';
import { addDays, dayBounds, localDate } from '../../model/civil-time.ts';
import { type Learned, learnedFrom } from '../../model/learned.ts';
import type { LearnedDay } from '../../model/learned-since.ts';
import { ledgerPoints } from '../../model/ledger.ts';
import { nothingOutside, type Outside } from '../../model/minutes/minute.ts';
import { type LogEntry, logEntry, type NewLogEntry } from '../../model/owner-log.ts';
import { drainedSince } from '../../model/owner-log-settings.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import type { Alert, Day, DayWithQuarters, Evening, Month, Now } from '../../model/shapes.ts';
import { isSpoiling } from '../../model/spoilt.ts';
import { stateOf } from '../../model/state.ts';
import type { TubSettings } from '../../model/tub-settings.ts';
import { en } from '../../model/words/en.ts';
import { sentenceOf } from '../../model/words/sentence.ts';
import { plainSpeaker } from '../../model/words/speaker.ts';
import type { Clock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import type { Change, Store } from '../store/store.ts';
import { AlertDesk } from './alert-desk.ts';
import { Calendar, type Rows } from './calendar.ts';
import { DaysBook } from './days-book.ts';
import { lookAhead } from './evening-book.ts';
import { type Finished, LedgerWork } from './ledger-work.ts';
import { News } from './news.ts';
import { changedDates } from './preview.ts';
import { RoundsBook } from './rounds-book.ts';
import { changedStretches, SetupBook, zoneOf } from './setup-book.ts';
import { situationOf } from './situation.ts';
import { Strangers } from './strangers.ts';
import { noEvening, toldEvening } from './told-evening.ts';
import type { Watching } from './watching.ts';

/** How many of a point's newest readings tell its value and its usual interval. */
const RECENT = 9;
/** How far back the present looks. [ms] */
const LATELY_MS = 2 * HOUR;
/** What another process wrote is told by its marks: they are looked at once they are this old. [ms] */
const LATE_MS = 15 * MINUTE;
/** What a store refused is tried again so often, though nothing new is heard. [ms] */
const TRIES_AGAIN_MS = 10_000;
/** How many nights tell what is usual. [days] */
const USUAL_NIGHTS = 14;

/** Watches all tubs: keeps the ledger worked out, and tells what is so now and what days brought. */
export class Watch implements Watching {
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly earlier: (tub: string) => ReadonlyMap<string, { value: number }>;
  private readonly work: LedgerWork;
  private readonly daysBook: DaysBook;
  private readonly rounds: RoundsBook;
  private readonly desk: AlertDesk;
  private readonly news: News;
  private readonly strangers: Strangers;
  private readonly failed: (error: unknown) => void;
  private readonly alertListeners = new Set<(alert: Alert) => void>();
  private readonly setupListeners = new Set<(setup: Setup) => void>();
  private book = new SetupBook([]);
  private outside = 0;
  private triedAt = 0;
  private lastAdded: Promise<unknown> = Promise.resolve();

  constructor(parts: {
    store: Store;
    clock: Clock;
    /** Values that a broker kept from an unknown earlier time, by point. */
    earlier: (tub: string) => ReadonlyMap<string, { value: number }>;
    /** What is known of a tub's boards and of the broker beside the readings. */
    outside?: (settings: TubSettings) => Outside;
    failed: (error: unknown) => void;
  }) {
    this.store = parts.store;
    this.clock = parts.clock;
    this.earlier = parts.earlier;
    this.failed = parts.failed;
    this.strangers = new Strangers(parts.store, parts.clock);
    this.news = new News({ watching: this, failed: parts.failed });
    const { store, failed } = parts;
    const book = () => this.book;
    const told = (tub: string, dates: readonly string[]) => this.news.changed(tub, dates);
    this.daysBook = new DaysBook({ store, book, told });
    this.work = new LedgerWork({
      store,
      book,
      worked: (tub, from, to) => told(tub, this.datesOf(tub, from, to)),
      finished: (stretch) => this.finished(stretch),
      failed,
    });
    this.rounds = new RoundsBook({
      store,
      clock: parts.clock,
      book,
      figures: (tub, date) => this.daysBook.figures(tub, date),
      isBehind: (tub) => this.work.isBehind(tub) || this.daysBook.isBusy(tub),
      outside: (tub) => {
        const settings = this.book.of(tub).at(-1)?.settings;
        return (settings && parts.outside?.(settings)) ?? nothingOutside;
      },
      told: (tub, changes) => this.alertsChanged(tub, changes),
    });
    this.desk = new AlertDesk({
      store,
      clock: parts.clock,
      zoneOf: (tub) => zoneOf(this.book, tub) ?? null,
      changed: (tub, alert) => this.tellAlert(tub, alert),
    });
  }

  /** Reads the set-up and works out what was left open. */
  async start(): Promise<void> {
    await this.readSetup();
    await this.loadDays();
    for (const { id } of this.book.current.tubs) this.judged(id);
    this.outside = await this.store.outsideChange();
    this.work.kick();
  }

  async stop(): Promise<void> {
    this.news.stop();
    this.alertListeners.clear();
    await this.rounds.stop();
    await this.work.stop();
    await this.daysBook.stop();
  }

  /** Says that readings of some tubs were kept, and of when the oldest of each is [ms]. */
  heard(kept: ReadonlyMap<string, number>): void {
    for (const [tub, oldest] of kept) {
      this.news.changed(tub, []);
      this.rounds.heard(tub, oldest);
    }
    this.work.kick();
  }

  /** Quarters were worked out: the days of them follow, and where readings came late, the rounds. */
  private finished(stretch: Finished): Promise<void> {
    const oldest = stretch.marks
      .filter(({ point }) => point !== null)
      .reduce((t, { from }) => Math.min(t, from), Number.POSITIVE_INFINITY);
    if (oldest < this.clock.now() - LATE_MS) this.rounds.heard(stretch.tub, oldest);
    return this.daysBook.add(stretch);
  }

  private alertsChanged(tub: string, changes: readonly AlertChange[]): void {
    this.news.changed(tub, []);
    if (changes.some(({ alert }) => isSpoiling(alert))) this.judged(tub);
    const ids = new Set(changes.map(({ alert }) => alert.id));
    this.tellAlerts(tub, ids).catch(this.failed);
  }

  /** What alerts spoil is left out of the days: not waited for, since those may be many. */
  private judged(tub: string): void {
    this.daysBook.judged(tub).catch(this.failed);
  }

  /** To be called every second or so: sees what another process wrote, and lets ages be told. */
  async tick(): Promise<void> {
    const outside = await this.store.outsideChange();
    if (outside !== this.outside) {
      this.outside = outside;
      const before = this.book;
      await this.readSetup();
      await this.loadDays();
      await this.markAgain(before);
      const tubs = await this.store.tubs();
      this.heard(new Map(tubs.map(({ tub }) => [tub, Number.POSITIVE_INFINITY])));
    }
    this.tryAgain();
    // not waited for: a year of the past is gone through in the same way, and news are not to wait for it
    this.rounds.tick().catch(this.failed);
    await this.news.tell();
  }

  private tryAgain(): void {
    const now = this.clock.now();
    if (!this.work.hasFailed || Math.abs(now - this.triedAt) < TRIES_AGAIN_MS) return;
    this.triedAt = now;
    this.work.kick();
  }

  private loadDays(): Promise<void> {
    return this.daysBook.load(this.book.current.tubs.map(({ id }) => id));
  }

  private async readSetup(): Promise<void> {
    const versions = await this.store.setupVersions();
    const tubs = versions.at(-1)?.setup.tubs ?? [];
    const logs = new Map<string, LogEntry[]>();
    for (const { id } of tubs) logs.set(id, await this.store.logEntries(id));
    this.book = new SetupBook(versions, logs);
    for (const hear of this.setupListeners) hear(this.book.current);
  }

  /** Calls `hear` with the set-up in force, now and whenever it changes. */
  onSetup(hear: (setup: Setup) => void): void {
    this.setupListeners.add(hear);
    hear(this.book.current);
  }

  /** Forgets tubs that nobody set up and that have been silent for a day; tells which. */
  forgetStrangers(): Promise<string[]> {
    return this.strangers.forget((tub) => this.book.of(tub).length > 0);
  }

  setup(): { setup: Setup; etag: string } {
    return { setup: this.book.current, etag: this.book.etag };
  }

  async putSetup(setup: Setup, from: number, ifMatch?: string) {
    const newest = this.book.newest?.id ?? null;
    if (ifMatch !== undefined && ifMatch !== '*' && ifMatch !== this.book.etag) {
      throw new SunsteepError(
        'SUNSTEEP_SETUP_CHANGED',
        'the set-up was changed by someone else meanwhile: read it again, then change it',
      );
    }
    const before = this.book;
    const made = { from, setup, madeAt: this.clock.now() };
    const marks = await this.changes(before, before.with({ id: 0, ...made }));
    await this.store.addSetup(made, ifMatch === undefined ? undefined : newest, marks);
    await this.readSetup();
    for (const tub of tubsOf(before, this.book)) {
      if (zoneOf(before, tub) !== zoneOf(this.book, tub)) await this.daysBook.forget(tub);
      if (this.book.of(tub).length === 0) this.rounds.forget(tub);
      this.news.changed(tub, []);
    }
    await this.markAgain(before);
    return this.setup();
  }

  /** Once more: the marks of a change outlive a kill, but may have been worked on by the old book. */
  private async markAgain(before: SetupBook): Promise<void> {
    for (const change of await this.changes(before, this.book)) {
      await this.store.markDirty(change.tub, change.from, change.to);
    }
    this.work.kick();
  }

  async log(tub: string): Promise<LogEntry[]> {
    return this.store.logEntries(tub);
  }

  /** One after another: an entry that is sent once more must find the first, even on its way. */
  addLog(tub: string, said: NewLogEntry): Promise<LogEntry> {
    const added = this.lastAdded.then(() => this.addOnce(tub, said));
    this.lastAdded = added.catch(() => {});
    return added;
  }

  private async addOnce(tub: string, said: NewLogEntry): Promise<LogEntry> {
    const entry = logEntry(randomBytes(9).toString('base64url'), said);
    const before = this.book;
    const same = before.log(tub).find((one) => isDeepStrictEqual(one, { ...entry, id: one.id }));
    if (same) return same;
    const marks = await this.changes(before, before.withLog(tub, [...before.log(tub), entry]));
    await this.store.addLogEntry(tub, entry, this.clock.now(), marks);
    await this.logChanged(tub, before);
    return entry;
  }

  async removeLog(tub: string, id: string): Promise<boolean> {
    const before = this.book;
    const left = before.log(tub).filter((entry) => entry.id !== id);
    const marks = await this.changes(before, before.withLog(tub, left));
    const removed = await this.store.removeLogEntry(tub, id, marks);
    if (removed) await this.logChanged(tub, before);
    return removed;
  }

  private async logChanged(tub: string, before: SetupBook): Promise<void> {
    this.book = this.book.withLog(tub, await this.store.logEntries(tub));
    this.news.changed(tub, []);
    await this.markAgain(before);
  }

  /** What is to be worked out again of each tub where one book takes another's place. */
  private async changes(before: SetupBook, after: SetupBook): Promise<Change[]> {
    const changes: Change[] = [];
    for (const tub of tubsOf(before, after)) {
      const heard = await this.store.span(tub);
      const stretches = heard ? changedStretches(before, after, tub, heard) : [];
      changes.push(...stretches.map((stretch) => ({ tub, ...stretch })));
    }
    return changes;
  }

  async previewSetup(setup: Setup, from: number) {
    const now = this.clock.now();
    const after = this.book.with({ id: 0, from, setup, madeAt: now });
    const changes: { tub: string; dates: string[] }[] = [];
    for (const tub of tubsOf(this.book, after)) {
      const dates = await changedDates(this.store, tub, this.book, after, now);
      if (dates.length > 0) changes.push({ tub, dates });
    }
    return changes;
  }

  async tubs(): Promise<{ id: string; name: string; setUp: boolean }[]> {
    const heard = (await this.store.tubs()).map(({ tub }) => tub);
    const setUp = this.book.current.tubs;
    const strangers = heard.filter((tub) => !setUp.some(({ id }) => id === tub));
    return [
      ...setUp.map(({ id, name }) => ({ id, name: name ?? id, setUp: true })),
      ...strangers.map((id) => ({ id, name: id, setUp: false })),
    ];
  }

  async now(tub: string): Promise<Now | null> {
    const at = this.clock.now();
    const settings = this.book.at(tub, at);
    const recent = await this.store.recent(tub, RECENT);
    const earlier = this.earlier(tub);
    if (!settings && recent.size === 0 && earlier.size === 0) return null;
    const calendar = settings && this.calendar(tub);
    const today = settings && localDate(at, settings.place.timeZone);
    const situation = situationOf({
      at,
      settings,
      learned: this.learnedNow(tub),
      recent,
      earlier,
      lately: await this.store.traces(tub, ledgerPoints, at - LATELY_MS, at + 1),
      day: calendar && today ? await calendar.day(today) : null,
      yesterday: calendar && today ? await calendar.day(addDays(today, -1)) : null,
      daySpan: settings && today ? dayBounds(today, settings.place.timeZone) : null,
      drainedSince: settings && drainedSince(this.book.log(tub), at),
      workingOut: await this.isWorkingOut(tub, at),
      states: this.rounds.statesAt(tub, at),
      usualNightKPerH: this.usualNightKPerH(tub, today),
      alerts: await this.desk.alerts(tub, true),
    });
    const { state } = stateOf(situation);
    const say = plainSpeaker(settings?.place.timeZone ?? null);
    return { ...situation, state, ...sentenceOf(state, situation, en, say) };
  }

  async days(tub: string, from?: string, to?: string): Promise<Day[] | null> {
    const span = await this.dates(tub);
    if (span === null) return null;
    if (span === 'none') return [];
    return this.calendar(tub).days(...within(span, from, to));
  }

  async day(tub: string, date: string): Promise<DayWithQuarters | null> {
    const span = await this.dates(tub);
    return span === null || this.book.of(tub).length === 0
      ? null
      : this.calendar(tub).dayWithQuarters(date);
  }

  async months(tub: string, from?: string, to?: string): Promise<Month[] | null> {
    const span = await this.dates(tub);
    if (span === null) return null;
    if (span === 'none') return [];
    const months = { first: span.first.slice(0, 7), last: span.last.slice(0, 7) };
    return this.calendar(tub).months(...within(months, from, to));
  }

  async settled(): Promise<void> {
    do {
      await this.work.settled();
      await this.daysBook.settled();
    } while (this.work.isRunning);
  }

  async evening(tub: string): Promise<Evening | null> {
    const versions = this.book.of(tub);
    if (versions.length === 0) return (await this.store.span(tub)) ? noEvening('no-place') : null;
    const present = this.clock.now();
    const look = await lookAhead(this.rows(tub), versions, present);
    const zone = versions.at(-1)!.settings.place.timeZone;
    return look ? toldEvening(look, plainSpeaker(zone), present) : noEvening('not-heard');
  }

  learned(tub: string): LearnedDay[] {
    const days = this.daysBook.learned(tub);
    const now = this.clock.now();
    const settings = this.book.at(tub, now);
    if (days.length > 0 || settings === null) return days;
    // Before the first day there is what was entered, and what is assumed.
    const date = localDate(now, settings.place.timeZone);
    return [{ date, learned: learnedFrom([], settings) }];
  }

  /** Whether figures of more than the last hour are being worked out; marks go with the days written. */
  private async isWorkingOut(tub: string, at: number): Promise<boolean> {
    const marks = await this.store.dirty();
    return marks.some((mark) => mark.tub === tub && Math.min(mark.to, at) - mark.from > HOUR);
  }

  private learnedNow(tub: string): Learned | null {
    let newest: LearnedDay | null = null;
    for (const day of this.learned(tub))
      if (newest === null || day.date > newest.date) newest = day;
    return newest?.learned ?? null;
  }

  async alerts(tub: string, open: boolean): Promise<Alert[] | null> {
    const isKnown = this.book.of(tub).length > 0 || (await this.store.span(tub)) !== null;
    return isKnown ? this.desk.alerts(tub, open) : null;
  }

  acknowledge(tub: string, id: string): Promise<Alert | null> {
    return this.desk.acknowledge(tub, id);
  }

  shelve(tub: string, id: string, until: number): Promise<Alert | null> {
    return this.desk.shelve(tub, id, until);
  }

  async notAFault(tub: string, id: string, why: string): Promise<Alert | null> {
    const alert = await this.desk.dismiss(tub, id);
    if (alert === null) return null;
    this.rounds.dismissed(tub, id);
    this.judged(tub);
    const { fault, point } = alert;
    const data = { fault, ...(point !== undefined && { point }), alert: id };
    const from = new Date(this.clock.now()).toISOString();
    await this.addLog(tub, { kind: 'not-a-fault', from, data, note: why });
    return alert;
  }

  onAlert(hear: (alert: Alert) => void): () => void {
    this.alertListeners.add(hear);
    return () => this.alertListeners.delete(hear);
  }

  /** Whether what was heard of a tub has been judged up to now. */
  isUpToDate(tub: string): boolean {
    return this.rounds.statesAt(tub, this.clock.now()) !== null;
  }

  /** Median of the last nights in which nothing disturbed the tub. */
  private usualNightKPerH(tub: string, today: string | null): number | null {
    if (today === null) return null;
    const nights = Array.from({ length: USUAL_NIGHTS }, (_, i) => addDays(today, -i)).flatMap(
      (date) => this.daysBook.figures(tub, date)?.evidence?.night ?? [],
    );
    const rates = nights.map(({ dropK, from, to }) => (-dropK * HOUR) / (to - from));
    return rates.length === 0 ? null : rates.sort((a, b) => a - b)[rates.length >> 1]!;
  }

  private async tellAlerts(tub: string, ids: ReadonlySet<string>): Promise<void> {
    for (const id of ids) {
      const alert = await this.desk.alert(tub, id);
      if (alert) this.tellAlert(tub, alert);
    }
  }

  private tellAlert(tub: string, alert: Alert): void {
    this.news.changed(tub, []);
    for (const hear of this.alertListeners) hear(alert);
  }

  onNews(hear: (news: { tub: string; now: Now; days: Day[] }) => void): () => void {
    return this.news.listen(hear);
  }

  private calendar(tub: string): Calendar {
    return new Calendar(this.book.of(tub), this.rows(tub), this.clock.now());
  }

  private rows(tub: string): Rows {
    return {
      quarters: (from, to) => this.store.ledger(tub, from, to),
      figures: (date) => this.daysBook.figures(tub, date),
    };
  }

  /** First and last date with readings; 'none' where there can be no days; null for an unknown tub. */
  private async dates(tub: string): Promise<{ first: string; last: string } | 'none' | null> {
    const zone = this.book.of(tub).at(-1)?.settings.place.timeZone;
    const heard = await this.store.span(tub);
    if (!zone && !heard) return null;
    if (!zone || !heard) return 'none';
    return { first: localDate(heard.from, zone), last: localDate(heard.to, zone) };
  }

  private datesOf(tub: string, from: number, to: number): string[] {
    const zone = this.book.of(tub).at(-1)?.settings.place.timeZone;
    if (!zone) return [];
    const dates = new Set<string>();
    for (let t = from; t < to; t += 6 * HOUR) dates.add(localDate(t, zone));
    return [...dates.add(localDate(to - 1, zone))];
  }
}

/** Tubs that either book sets up. */
const tubsOf = (a: SetupBook, b: SetupBook): Set<string> =>
  new Set([...a.current.tubs, ...b.current.tubs].map(({ id }) => id));

/** The part of what is asked for in which there can be data; names sort as the times they stand for. */
const within = (
  { first, last }: { first: string; last: string },
  from = first,
  to = last,
): [from: string, to: string] => [from > first ? from : first, to < last ? to : last];
