import type { Reading } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import type { Clock } from '../clock.ts';
import { type ErrorCode, SunsteepError } from '../errors.ts';
import { NEWEST_ARRIVAL } from '../store/sqlite-store.ts';
import type { Store, Unreadable } from '../store/store.ts';
import { admissionAt, TubsHeard } from './admit.ts';
import { BoardClocks } from './board-clocks.ts';
import { Decoder } from './decode.ts';
import type { Message } from './hearing.ts';
import { LastKnownValues } from './last-known.ts';

/** Most messages that go into one transaction; from there on brokers are asked to wait. */
const MOST_WAITING = 5_000;

/** A clock that is set right a little steps back so far without being plainly wrong [ms]. */
const STEP_BACK = 1_000;

const DISK_FULL = 'the disk is nearly full and nothing new is kept: make room on it';

/** Bytes of a last will that are kept. */
const LONGEST_WILL = 200;

export interface IntakeHealth {
  /** Readings kept since the service started. */
  heard: number;
  /** Age of the oldest message that is not acknowledged yet [s], or null. */
  oldestUnacknowledgedS: number | null;
  /** What arrives can be kept. */
  keeping: boolean;
  /** Why it cannot, in one sentence, or null. */
  trouble: string | null;
  /** The same as a code; null also where it has none. */
  why: ErrorCode | null;
  /** The service's own clock is plainly wrong. */
  clockWrong: boolean;
}

/** The last word of a board, on its will's topic. */
export interface Will {
  payload: Uint8Array;
  at: number;
  /** The broker had it before the service subscribed. */
  earlier: boolean;
}

/** The tubs that readings were kept of, and the time of the oldest of each [ms]. */
export type Kept = ReadonlyMap<string, number>;

interface Batch {
  readings: Reading[];
  unreadable: Unreadable[];
  messages: number;
  /** Arrival of its first message. */
  since: number;
  /** Settles when the transaction has. */
  kept: Promise<void>;
  settle(error: unknown): void;
}

/**
 * The way from a message to the disk. What arrives while a transaction runs goes into the next one,
 * so that a slow disk makes batches greater and not the queue longer.
 */
export class Intake {
  /** Values without a time, from before the service subscribed. */
  readonly lastKnown = new LastKnownValues();
  readonly clocks = new BoardClocks();
  /** By topic. */
  readonly wills = new Map<string, Will>();

  private readonly store: Store;
  private readonly clock: Clock;
  private readonly builtAt: number;
  private readonly tubs: TubsHeard;
  private newestArrival: number;
  private decoder = new Decoder({ tubs: [] });

  private next: Batch | null = null;
  private running: Batch | null = null;
  private heard = 0;
  private held = false;
  private failing: { since: number; says: string; why: ErrorCode | null } | null = null;
  private readonly listeners = new Set<(kept: Kept) => void>();

  private constructor(store: Store, clock: Clock, builtAt: number, heard: Heard) {
    this.store = store;
    this.clock = clock;
    this.builtAt = builtAt;
    this.newestArrival = heard.newestArrival;
    this.tubs = new TubsHeard([], heard.tubs);
  }

  /** @param builtAt  when the program was built [ms]: a clock before that is plainly wrong */
  static async open(store: Store, clock: Clock, builtAt: number): Promise<Intake> {
    const tubs = (await store.tubs()).map(({ tub }) => tub);
    const newestArrival = Number((await store.note(NEWEST_ARRIVAL)) ?? -Infinity);
    return new Intake(store, clock, builtAt, { tubs, newestArrival });
  }

  /** Reads what arrives from now on as this set-up says. */
  setUp(setup: Pick<Setup, 'tubs' | 'wiring'>): void {
    const tubs = setup.tubs.map(({ id }) => id);
    this.decoder = new Decoder(setup);
    this.tubs.setUpAre(tubs);
    this.lastKnown.setUpAre(tubs);
  }

  /** A tub whose readings were deleted counts as unheard. */
  forget(tub: string): void {
    this.tubs.forget(tub);
    this.lastKnown.forget(tub);
    this.clocks.forget(tub);
  }

  /**
   * Resolves once all that the message brought is on disk, in the order in which messages were
   * taken; rejects where the store could not keep it: then it must not be acknowledged.
   */
  take(message: Message): Promise<void> {
    const arrival = this.clock.now();
    const batch = this.batch(arrival);
    const admission = admissionAt(arrival, this.clockIsWrong(arrival), message.waited, this.tubs);
    const decoded = this.decoder.decode(message, arrival, admission);
    batch.messages++;
    for (const reading of decoded.readings) batch.readings.push(reading);
    for (const unreadable of decoded.unreadable) batch.unreadable.push(unreadable);
    for (const told of decoded.lastKnown) this.lastKnown.note(told, arrival);
    for (const told of decoded.ownTimes) this.clocks.note(told, arrival);
    if (decoded.isWill) {
      const payload = Uint8Array.from(message.payload.subarray(0, LONGEST_WILL));
      this.wills.set(message.topic, { payload, at: arrival, earlier: message.earlier });
    }
    return batch.kept;
  }

  /** Takes a message of which nothing is kept: only its acknowledgement stands in line. */
  pass(): Promise<void> {
    const batch = this.batch(this.clock.now());
    batch.messages++;
    return batch.kept;
  }

  /** null while more can be taken; otherwise what to wait for before the next message. */
  room(): Promise<void> | null {
    if (this.next === null || this.next.messages < MOST_WAITING) return null;
    return this.next.kept.catch(() => {});
  }

  /** Calls `hear` with what each transaction brought; returns what ends it. */
  onKept(hear: (kept: Kept) => void): () => void {
    this.listeners.add(hear);
    return () => this.listeners.delete(hear);
  }

  /** While the disk is nearly full nothing new is kept, and so nothing is acknowledged. */
  hold(on: boolean): void {
    if (this.held && !on) this.failing = null;
    this.held = on;
  }

  health(): IntakeHealth {
    const now = this.clock.now();
    const oldest = this.failing ?? this.running ?? this.next;
    const trouble = this.held ? DISK_FULL : (this.failing?.says ?? null);
    return {
      heard: this.heard,
      oldestUnacknowledgedS: oldest && Math.max(0, now - oldest.since) / 1000,
      keeping: trouble === null,
      trouble,
      why: this.held ? 'SUNSTEEP_STORE_DISK_FULL' : (this.failing?.why ?? null),
      clockWrong: this.clockIsWrong(now),
    };
  }

  /** Resolves once everything taken so far is kept or refused. */
  async settled(): Promise<void> {
    while (this.running !== null || this.next !== null) {
      await (this.running ?? this.next)!.kept.catch(() => {});
    }
  }

  private clockIsWrong(now: number): boolean {
    return now < this.builtAt || now < this.newestArrival - STEP_BACK;
  }

  private batch(since: number): Batch {
    if (this.next === null) {
      this.next = openBatch(since);
      if (this.running === null) setImmediate(() => this.keepNext());
    }
    return this.next;
  }

  private async keepNext(): Promise<void> {
    const batch = this.next;
    if (batch === null) return;
    this.next = null;
    this.running = batch;
    const error = await this.keep(batch).then(
      () => null,
      (reason: unknown) => reason ?? new Error('the store gave no reason'),
    );
    this.running = null;
    if (this.next !== null) setImmediate(() => this.keepNext());
    batch.settle(error);
  }

  private async keep({ readings, unreadable, since }: Batch): Promise<void> {
    if (readings.length === 0 && unreadable.length === 0) return;
    const at = this.clock.now();
    try {
      if (this.held) throw new SunsteepError('SUNSTEEP_STORE_DISK_FULL', DISK_FULL);
      await this.store.keep({ readings, unreadable, at });
    } catch (error) {
      const says = error instanceof Error ? error.message : String(error);
      const why = error instanceof SunsteepError ? error.code : null;
      this.failing = { since: this.failing?.since ?? since, says, why };
      throw error;
    }
    this.failing = null;
    this.newestArrival = Math.max(this.newestArrival, at);
    this.heard += readings.length;
    this.tellKept(readings);
  }

  private tellKept(readings: readonly Reading[]): void {
    const kept = new Map<string, number>();
    for (const { tub, point, t } of readings) {
      kept.set(tub, Math.min(kept.get(tub) ?? t, t));
      this.lastKnown.replaced(tub, point);
    }
    if (kept.size === 0) return;
    for (const hear of this.listeners) hear(kept);
  }
}

interface Heard {
  tubs: string[];
  newestArrival: number;
}

function openBatch(since: number): Batch {
  let settle: (error: unknown) => void = () => {};
  const kept = new Promise<void>((resolve, reject) => {
    settle = (error) => (error === null ? resolve() : reject(error));
  });
  // A batch that nobody waits for may fail without ending the process: health tells it.
  kept.catch(() => {});
  return { readings: [], unreadable: [], messages: 0, since, kept, settle };
}
