import { SunsteepError } from '../../../collector-service/errors.ts';
import type { Watching } from '../../../collector-service/watch/watching.ts';
import { type LogEntry, logEntry, type NewLogEntry } from '../../../model/owner-log.ts';
import type { Setup } from '../../../model/setup.ts';
import type { Alert, Day, Now } from '../../../model/shapes.ts';
import {
  alert,
  day,
  dayWithQuarters,
  evening,
  kowhai,
  learned,
  lower,
  month,
  now,
} from './samples.ts';

type News = { tub: string; now: Now; days: Day[] };

/** Two tubs with the figures of the samples; it remembers what it was asked, and tells news when told. */
export class FakeWatching implements Watching {
  versions: { setup: Setup; from: number }[] = [
    { setup: { tubs: [kowhai, lower] }, from: Number.NEGATIVE_INFINITY },
  ];
  asked: unknown[] = [];
  /** Makes the next question fail as a fault of our own would. */
  breaks = false;
  private readonly listeners = new Set<(news: News) => void>();

  setup() {
    return { setup: this.versions.at(-1)!.setup, etag: `"${this.versions.length}"` };
  }

  async putSetup(setup: Setup, from: number, ifMatch?: string) {
    if (ifMatch !== undefined && ifMatch !== this.setup().etag) {
      throw new SunsteepError('SUNSTEEP_SETUP_CHANGED', 'Changed.');
    }
    this.versions.push({ setup, from });
    return this.setup();
  }

  logs: Record<string, LogEntry[]> = {};

  async log(tub: string) {
    return this.logs[tub] ?? [];
  }

  async addLog(tub: string, said: NewLogEntry) {
    const entry = logEntry(`entry-${(await this.log(tub)).length}`, said);
    this.logs[tub] = [entry, ...(await this.log(tub))];
    return entry;
  }

  async removeLog(tub: string, id: string) {
    const before = await this.log(tub);
    this.logs[tub] = before.filter((entry) => entry.id !== id);
    return this.logs[tub].length < before.length;
  }

  async evening(tub: string) {
    return tub === 'kowhai' ? evening : null;
  }

  learned(tub: string) {
    return tub === 'kowhai' ? [{ date: '2026-03-01', learned }] : [];
  }

  async previewSetup(setup: Setup, from: number) {
    this.asked.push({ preview: setup, from });
    return ['kowhai', 'lower'].map((tub) => ({ tub, dates: ['2026-03-01'] }));
  }

  async tubs() {
    if (this.breaks) throw new Error('inner text');
    return this.setup().setup.tubs.map(({ id, name = id }) => ({ id, name, setUp: true }));
  }

  private known = (tub: string) => this.setup().setup.tubs.some(({ id }) => id === tub);

  async now(tub: string) {
    if (this.breaks) throw new Error('inner text');
    return this.known(tub) ? now : null;
  }

  async days(tub: string, from?: string, to?: string) {
    this.asked.push({ days: tub, from, to });
    return this.known(tub) ? [day] : null;
  }

  async day(tub: string, date: string) {
    return this.known(tub) && date === day.date ? dayWithQuarters : null;
  }

  async months(tub: string, from?: string, to?: string) {
    this.asked.push({ months: tub, from, to });
    return this.known(tub) ? [month] : null;
  }

  handled: Partial<Alert> = {};
  private readonly alertListeners = new Set<(alert: Alert) => void>();

  private handle(tub: string, id: string, handled: Partial<Alert>) {
    if (tub !== 'kowhai' || id !== alert.id) return null;
    Object.assign(this.handled, handled);
    return { ...alert, ...this.handled };
  }

  async alerts(tub: string, open: boolean) {
    const items = tub === 'kowhai' ? [{ ...alert, ...this.handled }] : [];
    return this.known(tub) ? items.filter(({ until }) => !open || until === null) : null;
  }

  async acknowledge(tub: string, id: string) {
    return this.handle(tub, id, { acknowledgedAt: now.at });
  }

  async shelve(tub: string, id: string, until: number) {
    return this.handle(tub, id, { shelvedUntil: new Date(until).toISOString() });
  }

  async notAFault(tub: string, id: string, why: string) {
    this.asked.push({ notAFault: id, why });
    return this.handle(tub, id, { until: now.at });
  }

  onAlert(hear: (alert: Alert) => void) {
    this.alertListeners.add(hear);
    return () => void this.alertListeners.delete(hear);
  }

  tellAlert(told: Alert): void {
    for (const hear of this.alertListeners) hear(told);
  }

  async settled() {}

  onNews(hear: (news: News) => void) {
    this.listeners.add(hear);
    return () => void this.listeners.delete(hear);
  }

  get heardBy(): number {
    return this.listeners.size;
  }

  tell(tub: string, days: Day[] = []): void {
    for (const hear of this.listeners) hear({ tub, now, days });
  }
}
