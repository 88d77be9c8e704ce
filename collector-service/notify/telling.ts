import type { Logger } from 'pino';
import { testMessage } from '../../model/alerts/notice.ts';
import { HOUR, MINUTE } from '../../model/readings.ts';
import type { Setup, TubSetup } from '../../model/setup.ts';
import { enNotices } from '../../model/words/en-notices.ts';
import type { Clock } from '../clock.ts';
import type { ChannelName, ChannelRecord, Notice, Store } from '../store/store.ts';
import type { Channel, Outcome, Recipient } from './channel.ts';
import { newsFor } from './news-for.ts';
import { nextTry } from './pauses.ts';
import { write } from './writer.ts';

/** The end of what ended longer ago is no news. [ms] */
const NEWS_MS = 48 * HOUR;
/** Until its minutes have been gone through, what stands in the store may be over; no longer than this. [ms] */
const CATCHES_UP_MS = 10 * MINUTE;
const KEPT_MS = 60 * 24 * HOUR;
const SWEEPS_EVERY_MS = HOUR;

/** How one channel is doing. */
export interface ChannelState extends ChannelRecord {
  channel: ChannelName;
  /** How many it tells. */
  recipients: number;
}

interface OfChannel {
  channel: ChannelName;
  recipient: Recipient;
}

/** Tells people and programs of alerts: what is due is written first, then sent, then tried again. */
export class Telling {
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly setup: () => Setup;
  private readonly isUpToDate: (tub: string) => boolean;
  private readonly channels: readonly Channel[];
  private readonly log: Logger;
  private readonly caughtUp = new Set<string>();
  private readonly startedAt: number;
  /** What came of tries, where the store could not take it yet, by notice. */
  private readonly unwritten = new Map<number, () => Promise<void>>();
  private readonly sending = new Map<number, Promise<void>>();
  private sweptAt = Number.NEGATIVE_INFINITY;
  private running: Promise<void> | null = null;
  private again = false;
  private stopped = false;

  constructor(parts: {
    store: Store;
    clock: Clock;
    setup: () => Setup;
    /** Whether a tub's readings have been judged up to now. */
    isUpToDate: (tub: string) => boolean;
    channels: readonly Channel[];
    log: Logger;
  }) {
    this.store = parts.store;
    this.clock = parts.clock;
    this.setup = parts.setup;
    this.isUpToDate = parts.isUpToDate;
    this.channels = parts.channels;
    this.log = parts.log;
    this.startedAt = parts.clock.now();
  }

  /**
   * Writes what is due now and sets out to send it; to be called every ten seconds or so, and whenever
   * an alert changes. It waits for nothing outside; `settled` does.
   */
  pass(): Promise<void> {
    if (this.running) {
      this.again = true;
      return this.running;
    }
    this.running = this.passes().finally(() => {
      this.running = null;
    });
    return this.running;
  }

  /** Resolves once everything that is under way has arrived, or has not. */
  async settled(): Promise<void> {
    await this.running;
    await Promise.all(this.sending.values());
  }

  async stop(): Promise<void> {
    this.stopped = true;
    await this.settled();
  }

  /** Sends one test notice at once, and tells what came of it; null where nobody of the channel is there. */
  async test(name: ChannelName, target: string): Promise<Outcome | null> {
    const channel = this.channels.find((one) => one.name === name)!;
    const isThere = (await channel.recipients()).some((one) => one.target === target);
    const at = this.clock.now();
    const message = testMessage(at, enNotices);
    return isThere ? channel.send(target, { id: `test-${at}`, message }) : null;
  }

  async states(): Promise<ChannelState[]> {
    return Promise.all(
      this.channels.map(async (channel) => ({
        channel: channel.name,
        recipients: (await channel.recipients()).length,
        ...(await this.store.channelRecord(channel.name)),
      })),
    );
  }

  private async passes(): Promise<void> {
    do {
      this.again = false;
      const recipients = await this.recipients();
      for (const tub of this.setup().tubs) {
        if (this.stopped) return;
        await this.noticesOf(tub, recipients).catch((error: unknown) => {
          this.log.error({ err: error, tub: tub.id }, 'notices could not be made');
        });
      }
      await this.sendDue();
    } while (this.again && !this.stopped);
    if (this.clock.now() - this.sweptAt >= SWEEPS_EVERY_MS) {
      this.sweptAt = this.clock.now();
      await this.store.dropNotices(this.sweptAt - KEPT_MS);
    }
  }

  private async recipients(): Promise<OfChannel[]> {
    const all: OfChannel[] = [];
    for (const channel of this.channels) {
      for (const recipient of await channel.recipients()) {
        all.push({ channel: channel.name, recipient });
      }
    }
    return all;
  }

  private isReady(tub: string): boolean {
    if (this.caughtUp.has(tub)) return true;
    const waited = this.clock.now() - this.startedAt >= CATCHES_UP_MS;
    if (waited || this.isUpToDate(tub)) this.caughtUp.add(tub);
    return this.caughtUp.has(tub);
  }

  private async noticesOf(tub: TubSetup, recipients: readonly OfChannel[]): Promise<void> {
    if (!this.isReady(tub.id)) return;
    const now = this.clock.now();
    const alerts = await this.store.alertsSince(tub.id, now - NEWS_MS);
    if (alerts.length === 0) return;
    const known = { tub, alerts, shelves: await this.store.shelves(tub.id) };
    const told = await this.store.told(tub.id);
    for (const { channel, recipient } of recipients) {
      const { target, wishes, manner, covers } = recipient;
      if (!covers(tub.id)) continue;
      const heard = told.filter((one) => one.channel === channel && one.target === target);
      const { stale, due } = newsFor(wishes, known, heard, now);
      for (const id of stale) if (!this.sending.has(id)) await this.store.dropNotice(id);
      for (const about of due) {
        await this.store.addNotice({
          tub: tub.id,
          channel,
          target,
          about: about.map(({ kind, alert: { id, severity } }) => ({ alert: id, kind, severity })),
          message: write(tub, about, now, manner),
          madeAt: now,
        });
      }
    }
  }

  private async sendDue(): Promise<void> {
    for (const notice of await this.store.dueNotices(this.clock.now())) {
      const channel = this.channels.find(({ name }) => name === notice.channel);
      if (!channel || this.sending.has(notice.id) || this.stopped) continue;
      const sent = this.send(channel, notice)
        .catch((error: unknown) => {
          this.log.error({ err: error, channel: channel.name }, 'a notice could not be sent');
        })
        .finally(() => this.sending.delete(notice.id));
      this.sending.set(notice.id, sent);
    }
  }

  /** What came of a try that the store could not take is written next time, and nobody told once more. */
  private async send(channel: Channel, notice: Notice): Promise<void> {
    const { id } = notice;
    const write = this.unwritten.get(id) ?? (await this.tryOnce(channel, notice));
    this.unwritten.set(id, write);
    await write();
    this.unwritten.delete(id);
  }

  /** @returns writes what came of it */
  private async tryOnce(channel: Channel, notice: Notice): Promise<() => Promise<void>> {
    const { id, target, message, madeAt, tries } = notice;
    const outcome = await channel.send(target, { id: `${madeAt}-${id}`, message });
    const at = this.clock.now();
    const { trouble } = outcome;
    if (trouble !== null) this.log.warn({ channel: channel.name, trouble }, 'telling has trouble');
    if (outcome.sent) {
      return () => this.store.noticeTried(id, { at, due: null, sentAt: at, trouble });
    }
    if (outcome.gone) return () => this.store.dropNotice(id);
    const due = nextTry({ madeAt, message, tries: tries + 1 }, at);
    return () => this.store.noticeTried(id, { at, due, sentAt: null, trouble });
  }
}
