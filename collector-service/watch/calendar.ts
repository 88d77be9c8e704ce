import { dayBounds, localDate, monthBounds } from '../../model/civil-time.ts';
import { dayOf, dayWithQuarters, monthOf, type WorkedDay } from '../../model/day.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import type { Quarter } from '../../model/ledger.ts';
import type { Day, DayWithQuarters, Month } from '../../model/shapes.ts';
import type { SettingsVersion, TubSettings } from '../../model/tub-settings.ts';

/** Where a tub's rows come from: the store, or a replay's memory. */
export interface Rows {
  quarters(from: number, to: number): Promise<Quarter[]>;
  /** What was worked out of a whole day; null where that has not been done (yet). */
  figures(date: string): DayFigures | null;
}

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
    return { date, bounds, quarters, figures, settings: this.settingsAt(bounds.to - 1) };
  }

  /** Days with data from one date to another, both included. */
  async days(from: string, to: string): Promise<Day[]> {
    const days = await this.workedDays(
      dayBounds(from, this.timeZone).from,
      dayBounds(to, this.timeZone).to,
    );
    return days.map((day) => dayOf(day, this.until));
  }

  /** Months with data from one to another (`YYYY-MM`), both included. */
  async months(from: string, to: string): Promise<Month[]> {
    const days = await this.workedDays(
      monthBounds(from, this.timeZone).from,
      monthBounds(to, this.timeZone).to,
    );
    return [...new Set(days.map(({ date }) => date.slice(0, 7)))].map((month) => {
      const within = days.filter(({ date }) => date.startsWith(month));
      return monthOf(month, within, monthBounds(month, this.timeZone), this.until);
    });
  }

  private async workedDays(from: number, to: number): Promise<WorkedDay[]> {
    const days: { date: string; bounds: WorkedDay['bounds']; quarters: Quarter[] }[] = [];
    for (const row of await this.rows.quarters(from, to)) {
      const last = days.at(-1);
      if (last && row.from < last.bounds.to) last.quarters.push(row);
      else {
        const date = localDate(row.from, this.timeZone);
        days.push({ date, bounds: dayBounds(date, this.timeZone), quarters: [row] });
      }
    }
    return days.map(({ date, bounds, quarters }) => this.workedDay(date, bounds, quarters));
  }
}
