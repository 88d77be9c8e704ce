import { setImmediate as turn } from 'node:timers/promises';
import type { Span } from '../../model/civil-time.ts';
import { ledgerPoints, type Quarter, reach, touched, workOut } from '../../model/ledger.ts';
import { HOUR, MINUTE, QUARTER, quarterOf, type Trace } from '../../model/readings.ts';
import { longestGapMs, type SettingsVersion, type TubSettings } from '../../model/tub-settings.ts';
import type { DirtyMark, Store } from '../store/store.ts';
import type { SetupBook } from './setup-book.ts';

/**
 * Longest span that is worked out in one go, so that nothing else waits long. Around each slice hours of
 * readings are read as well: with short ones most of the time goes there.
 */
const SLICE_MS = 8 * HOUR;

/** How long marks are gathered, so that a burst of messages is worked out a few times a second. */
const GATHER_MS = 200;

/** What is left to be worked out because of some marks, newest part first. */
interface Job {
  tub: string;
  marks: DirtyMark[];
  from: number;
  /** Everything from here on has been worked out. */
  to: number;
  end: number;
  /** The parts of it in which something is known, newest first. */
  spans: Span[];
}

/** A stretch of time whose quarters are worked out. */
export interface Finished {
  tub: string;
  marks: DirtyMark[];
  from: number;
  to: number;
  /** The parts of it in which something is known. */
  spans: readonly Span[];
}

/**
 * Works the ledger out wherever the store marks that readings or the set-up changed: in slices,
 * the newest first, so that a year in the background holds up nothing that is live.
 */
export class LedgerWork {
  private readonly store: Store;
  private readonly book: () => SetupBook;
  private readonly worked: (tub: string, from: number, to: number) => void;
  private readonly finished: (stretch: Finished) => Promise<void>;
  private readonly failed: (error: unknown) => void;
  /** Marks whose quarters are worked out and whose days are not yet, by id: how often they grew. */
  private readonly handed = new Map<number, number>();
  /** Those of them whose days could not be written. */
  private readonly failing = new Set<number>();
  private jobs: Job[] = [];
  private running: Promise<void> | null = null;
  private again = false;
  private stopped = false;
  private waitedFor = 0;
  /** Something could not be done, and is left until the next kick. */
  hasFailed = false;
  /** Ends the gathering of marks that is under way. */
  private hurry: () => void = () => {};

  constructor(parts: {
    store: Store;
    book: () => SetupBook;
    /** Called for each slice that was worked out. */
    worked: (tub: string, from: number, to: number) => void;
    /**
     * Called once a whole stretch was; its marks are still there, for the days that follow from it.
     * Where it rejects they are taken up again with the next kick.
     */
    finished: (stretch: Finished) => Promise<void>;
    failed: (error: unknown) => void;
  }) {
    this.store = parts.store;
    this.book = parts.book;
    this.worked = parts.worked;
    this.finished = parts.finished;
    this.failed = parts.failed;
  }

  /** Says that there may be new marks, and that what failed may be tried again. */
  kick(): void {
    this.hasFailed = false;
    for (const id of this.failing) this.handed.delete(id);
    this.failing.clear();
    this.again = true;
    this.begin();
  }

  private begin(): void {
    if (this.running || this.stopped) return;
    this.running = this.run()
      .catch((error) => this.hindered(error))
      .finally(() => {
        this.running = null;
        if (this.again) this.begin();
      });
  }

  private hindered(error: unknown): void {
    this.hasFailed = true;
    this.failed(error);
  }

  /** Resolves once no mark is left; meanwhile none is gathered for long. */
  async settled(): Promise<void> {
    this.waitedFor++;
    this.kick();
    this.hurry();
    while (this.running) await this.running;
    this.waitedFor--;
  }

  get isRunning(): boolean {
    return this.running !== null;
  }

  /** Whether more is being worked out than what has just come in. */
  isBehind(tub: string): boolean {
    return this.jobs.some((job) => job.tub === tub && job.to - job.from > SLICE_MS);
  }

  async stop(): Promise<void> {
    this.stopped = true;
    this.again = false;
    this.hurry();
    await this.running;
  }

  private async run(): Promise<void> {
    do {
      if (this.again) {
        await this.gather();
        if (this.stopped) return;
        this.again = false;
        await this.takeMarks();
      }
      const newest = this.jobs.reduce<Job | null>(
        (best, job) => (best === null || job.to > best.to ? job : best),
        null,
      );
      if (newest) await this.work(newest);
      await turn();
    } while (!this.stopped && (this.jobs.length > 0 || this.again));
  }

  private async gather(): Promise<void> {
    if (this.waitedFor > 0 || this.stopped) return;
    await new Promise<void>((go) => {
      const timer = setTimeout(go, GATHER_MS);
      this.hurry = () => {
        clearTimeout(timer);
        go();
      };
    });
  }

  private async takeMarks(): Promise<void> {
    const taken = new Set(this.jobs.flatMap((job) => job.marks.map((mark) => mark.id)));
    const all = await this.store.dirty();
    const there = new Set(all.map(({ id }) => id));
    for (const id of this.handed.keys()) if (!there.has(id)) this.handed.delete(id);
    const marks = all.filter(
      ({ id, touched }) => !taken.has(id) && this.handed.get(id) !== touched,
    );
    for (const tub of new Set(marks.map((mark) => mark.tub))) {
      this.jobs.push(
        ...(await this.jobsOf(
          tub,
          marks.filter((mark) => mark.tub === tub),
        )),
      );
    }
  }

  /** A job for each stretch of time that the marks of a tub touch. */
  private async jobsOf(tub: string, marks: DirtyMark[]): Promise<Job[]> {
    const versions = this.book().of(tub);
    const heard = await this.store.span(tub);
    if (versions.length === 0 || !heard) {
      await this.store.putLedger(tub, [], { from: 0, to: 0 }, marks);
      return [];
    }
    const settings = widestGaps(versions);
    const points = await this.store.points(tub);
    const end = quarterOf(heard.to) + QUARTER;
    const jobs: Job[] = [];
    const idle: DirtyMark[] = [];
    for (const mark of marks.sort((a, b) => a.from - b.from)) {
      const { point } = mark;
      const span = point === null ? mark : touched(settings, points, { ...mark, point });
      const edge = await newestBefore(this.store, tub, mark.from, longestHoldMs(settings, points));
      const from = quarterOf(Math.max(Math.min(span?.from ?? 0, edge ?? mark.from), heard.from));
      const to = Math.min(quarterOf(span?.to ?? 0) + QUARTER, end);
      if (!span || from >= to) idle.push(mark);
      else {
        const last = jobs.at(-1);
        if (last && from <= last.to) {
          // marks stand in order, but a later one may reach farther back
          last.from = Math.min(last.from, from);
          last.to = Math.max(last.to, to);
          last.end = last.to;
          last.marks.push(mark);
        } else jobs.push({ tub, marks: [mark], from, to, end: to, spans: [] });
      }
    }
    if (idle.length > 0) await this.store.putLedger(tub, [], { from: 0, to: 0 }, idle);
    return jobs;
  }

  private async work(job: Job): Promise<void> {
    const { tub, to } = job;
    const versions = this.book().of(tub);
    if (versions.length === 0) {
      this.putAway(job); // the tub was taken out of the set-up meanwhile
      return;
    }
    const { rows, from, emptyFrom } = await newestSlice(this.store, tub, versions, job);
    await this.store.putLedger(tub, rows, { from: emptyFrom, to }, []);
    this.worked(tub, from, to);
    if (rows.length > 0) job.spans.push({ from, to });
    job.to = emptyFrom;
    if (emptyFrom > job.from) return;
    this.putAway(job);
    for (const { id, touched } of job.marks) this.handed.set(id, touched);
    const { marks, end, spans } = job;
    this.finished({ tub, marks, from: job.from, to: end, spans }).catch((error) => {
      for (const { id } of marks) this.failing.add(id);
      this.hindered(error);
    });
  }

  /** Puts a job away; marks that it leaves, or that grew while it was in hand, are looked at again. */
  private putAway(job: Job): void {
    this.jobs = this.jobs.filter((other) => other !== job);
    this.again = true;
  }
}

/**
 * Works the last part of a span out, and tells from where on nothing is known before that part: years
 * may lie between one reading and the next. Changes nothing.
 */
export async function newestSlice(
  store: Store,
  tub: string,
  versions: readonly SettingsVersion[],
  span: Span,
): Promise<{ rows: Quarter[]; from: number; emptyFrom: number }> {
  const from = Math.max(span.from, Math.floor((span.to - 1) / SLICE_MS) * SLICE_MS);
  const rows = await workOutFrom(store, tub, versions, { from, to: span.to });
  if (rows.length > 0) return { rows, from, emptyFrom: from };
  const holdMs = longestHoldMs(widestGaps(versions), await store.points(tub));
  const before = await newestBefore(store, tub, from, Number.MAX_SAFE_INTEGER);
  const reach = before === null ? span.from : quarterOf(before + holdMs) + QUARTER;
  return { rows, from, emptyFrom: Math.max(span.from, Math.min(from, reach)) };
}

/** Works quarters out from what the store keeps; changes nothing. */
async function workOutFrom(
  store: Store,
  tub: string,
  versions: readonly SettingsVersion[],
  span: { from: number; to: number },
): Promise<Quarter[]> {
  const heard = (await store.points(tub)).filter((point) => ledgerPoints.includes(point));
  const around = reach(widestGaps(versions), heard);
  const traces = new Map<string, Trace>();
  for (const point of heard) {
    const [from, to] = [span.from - around.beforeMs(point), span.to + around.afterMs];
    const found = await store.traces(tub, [point], from, to, around.nearestMs);
    for (const [name, trace] of found) traces.set(name, trace);
    await turn();
  }
  const newest = await newestBefore(store, tub, Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER);
  return workOut(versions, traces, span.from, span.to, newest ?? span.from);
}

/** Time of the newest reading of any point of the ledger before `t`, within a time of it. */
async function newestBefore(
  store: Store,
  tub: string,
  t: number,
  withinMs: number,
): Promise<number | null> {
  const traces = await store.traces(tub, ledgerPoints, t, t, () => withinMs);
  const times = [...traces.values()].map((trace) => trace.t[0]!);
  return times.length > 0 ? Math.max(...times) : null;
}

/** How long any value of these points may hold [ms]. */
const longestHoldMs = (settings: TubSettings, points: readonly string[]): number =>
  Math.max(0, ...points.map((point) => longestGapMs(settings, point)));

/** Settings with the longest gap of each point in any version, to read far enough for all of them. */
function widestGaps(versions: readonly SettingsVersion[]): TubSettings {
  const longestGapMin: Record<string, number> = {};
  for (const { settings } of versions) {
    for (const [point, minutes] of Object.entries(settings.longestGapMin)) {
      const usual = longestGapMs({ ...settings, longestGapMin: {} }, point) / MINUTE;
      longestGapMin[point] = Math.max(minutes, usual, longestGapMin[point] ?? 0);
    }
  }
  return { ...versions[0]!.settings, longestGapMin };
}
