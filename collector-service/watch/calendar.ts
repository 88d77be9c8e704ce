import { dayBounds, localDate, monthBounds } from '../../model/civil-time.ts';
import { dayOf, dayWithQuarters, monthOf } from '../../model/day.ts';
import type { Quarter } from '../../model/ledger.ts';
import { nightsWithin } from '../../model/night.ts';
import type { Day, DayWithQuarters, Month } from '../../model/shapes.ts';
import type { SettingsVersion, TubSettings } from '../../model/tub-settings.ts';

/** Ledger rows of a tub over a span, wherever they come from. */
export type Rows = (from: number, to: number) => Promise<Quarter[]>;

/** A tub's local days and months, as sums of its ledger. */
export class Calendar {
  private readonly versions: readonly SettingsVersion[];
  private readonly rows: Rows;
  private readonly until: number;

  /**
   * @param versions  the tub's set-up over time; at least one
   * @param rows  reads the ledger
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

  today(): Promise<Day> {
    return this.day(localDate(this.until, this.timeZone));
  }

  async day(date: string): Promise<Day> {
    return (await this.dayAndRows(date)).day;
  }

  async dayWithQuarters(date: string): Promise<DayWithQuarters> {
    const { day, rows, bounds } = await this.dayAndRows(date);
    const settings = this.settingsAt(bounds.to - 1);
    return dayWithQuarters(day, rows, {
      ...bounds,
      nights: nightsWithin(
        bounds.from,
        bounds.to,
        settings.place.latitude,
        settings.place.longitude,
      ),
      targetC: settings.tub.targetC,
    });
  }

  private async dayAndRows(date: string) {
    const bounds = dayBounds(date, this.timeZone);
    const rows = await this.rows(bounds.from, bounds.to);
    return { day: this.sum(date, rows, bounds), rows, bounds };
  }

  private sum(date: string, rows: readonly Quarter[], bounds: { from: number; to: number }): Day {
    return dayOf(date, rows, bounds, this.until, this.settingsAt(bounds.to - 1));
  }

  /** Days with data from one date to another, both included. */
  async days(from: string, to: string): Promise<Day[]> {
    const rows = await this.rows(
      dayBounds(from, this.timeZone).from,
      dayBounds(to, this.timeZone).to,
    );
    return this.byDate(rows).map(({ date, quarters, bounds }) => this.sum(date, quarters, bounds));
  }

  /** Months with data from one to another (`YYYY-MM`), both included. */
  async months(from: string, to: string): Promise<Month[]> {
    const rows = await this.rows(
      monthBounds(from, this.timeZone).from,
      monthBounds(to, this.timeZone).to,
    );
    const days = this.byDate(rows);
    return [...new Set(days.map(({ date }) => date.slice(0, 7)))].map((month) => {
      const bounds = monthBounds(month, this.timeZone);
      const within = days.filter(({ date }) => date.startsWith(month));
      const quarters = within.flatMap((day) => day.quarters);
      return monthOf(
        month,
        quarters,
        bounds,
        this.until,
        this.settingsAt(bounds.to - 1),
        within.length,
      );
    });
  }

  private byDate(rows: readonly Quarter[]) {
    const days: { date: string; bounds: { from: number; to: number }; quarters: Quarter[] }[] = [];
    for (const row of rows) {
      const last = days.at(-1);
      if (last && row.from < last.bounds.to) last.quarters.push(row);
      else {
        const date = localDate(row.from, this.timeZone);
        days.push({ date, bounds: dayBounds(date, this.timeZone), quarters: [row] });
      }
    }
    return days;
  }
}
