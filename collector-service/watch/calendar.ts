import { setImmediate as turn } from 'node:timers/promises';
import { dayBounds, localDate, monthBounds } from '../../model/civil-time.ts';
import { dayOf, dayWithQuarters, monthOf, type WorkedDay } from '../../model/day.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import { HOUR } from '../../model/readings.ts';
import type { Day, DayWithQuarters, Month } from '../../model/shapes.ts';
import {
  type SettingsVersion,
  type TubSettings,
  versionsWithin,
} from '../../model/tub-settings.ts';

/** Where a tub's rows come from: the store, or a replay's memory. */
export interface Rows {
  quarters(from: number, to: number): Promise<Quarter[]>;
  /** What was worked out of a whole day; null where that has not been done (yet). */
  figures(date: string): DayFigures | null;
}

/** How much of the ledger is read at a time, so that years of days hold nothing up. */
const READ_MS = 31 * 24 * HOUR;

/** A tub's local days and months, as sums of its ledger. */
export class Calendar {
  private readonly versions: readonly SettingsVersion[];
  private readonly rows: Rows;
  private readonly until: number;

  /**
   * @param versions  the tub's set-up over time; at least one
   * @param until  up to when time has come [ms]
   */
  constructor(versions: readonly SettingsVersion[], rows: Rows, until: number) {
    this.versions = versions;
    this.rows = rows;
    this.until = until;
  }

  private get timeZone(): string {
    return this.versions.at(-1)!.settings.place.timeZone;
  }

  private settingsAt(t: number): TubSettings {
    return (this.versions.findLast((version) => version.from <= t) ?? this.versions[0]!).settings;
  }

  async day(date: string): Promise<Day> {
    return dayOf(await this.worked(date), this.until);
  }

  async dayWithQuarters(date: string): Promise<DayWithQuarters> {
    return dayWithQuarters(await this.worked(date), this.until);
  }

  private async worked(date: string): Promise<WorkedDay> {
    const bounds = dayBounds(date, this.timeZone);
    return this.workedDay(date, bounds, await this.rows.quarters(bounds.from, bounds.to));
  }

  private workedDay(
    date: string,
    bounds: WorkedDay['bounds'],
    quarters: readonly Quarter[],
  ): WorkedDay {
    const figures = this.rows.figures(date);
    const drained = versionsWithin(this.versions, bounds.from, bounds.to)
      .filter(({ settings }) => settings.owner.drained)
      .map(({ from, to }) => ({ from, to }));
    const settings = this.settingsAt(bounds.to - 1);
    return { date, bounds, quarters, figures, settings, drained };
  }

  /** Days with data from one date to another, both included. */
  async days(from: string, to: string): Promise<Day[]> {
    const days: Day[] = [];
    const start = dayBounds(from, this.timeZone).from;
    for await (const day of this.workedDays(start, dayBounds(to, this.timeZone).to)) {
      days.push(dayOf(day, this.until));
    }
    return days;
  }

  /** Months with data from one to another (`YYYY-MM`), both included. */
  async months(from: string, to: string): Promise<Month[]> {
    const months: Month[] = [];
    let within: WorkedDay[] = [];
    const close = () => {
      if (within.length === 0) return;
      const month = monthOfDate(within[0]!.date);
      months.push(monthOf(month, within, monthBounds(month, this.timeZone), this.until));
      within = [];
    };
    const start = monthBounds(from, this.timeZone).from;
    for await (const day of this.workedDays(start, monthBounds(to, this.timeZone).to)) {
      if (within.length > 0 && monthOfDate(within[0]!.date) !== monthOfDate(day.date)) close();
      within.push(day);
    }
    close();
    return months;
  }

  private async *workedDays(from: number, to: number): AsyncGenerator<WorkedDay> {
    let open: { date: string; bounds: WorkedDay['bounds']; quarters: Quarter[] } | null = null;
    for (let start = from; start < to; start += READ_MS) {
      for (const row of await this.rows.quarters(start, Math.min(start + READ_MS, to))) {
        if (open && row.from < open.bounds.to) {
          open.quarters.push(row);
          continue;
        }
        if (open) yield this.workedDay(open.date, open.bounds, open.quarters);
        const date = localDate(row.from, this.timeZone);
        open = { date, bounds: dayBounds(date, this.timeZone), quarters: [row] };
      }
      await turn();
    }
    if (open) yield this.workedDay(open.date, open.bounds, open.quarters);
  }
}

const monthOfDate = (date: string): string => date.slice(0, 7);
