const QUARTER = 900_000; // ms
const MINUTE = 60_000; // ms
const DAY = 86_400_000; // ms

/** What the clock on a wall shows in a time zone. Zones move their clocks on quarter hours alone. */
export class LocalClock {
  private readonly format: Intl.DateTimeFormat;
  private quarter = Number.NaN;
  private offset = 0; // ms

  constructor(timeZone: string) {
    this.format = new Intl.DateTimeFormat('en-US', {
      timeZone,
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
    });
  }

  /** `YYYY-MM-DD`. */
  date(t: number): string {
    return new Date(this.shown(t)).toISOString().slice(0, 10);
  }

  /** Minutes since the wall showed 00:00, with their fraction. */
  minute(t: number): number {
    return (((this.shown(t) % DAY) + DAY) % DAY) / MINUTE;
  }

  /** The first instant of a date. */
  startOf(date: string): number {
    let low = Math.floor((Date.parse(date) - 15 * 4 * QUARTER) / QUARTER);
    let high = low + 30 * 4;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.date(middle * QUARTER) < date) low = middle + 1;
      else high = middle;
    }
    return low * QUARTER;
  }

  /** The first instant of the next date. */
  nextDay(t: number): number {
    return this.startOf(laterDate(this.date(t), 1));
  }

  private shown(t: number): number {
    const quarter = Math.floor(t / QUARTER);
    if (quarter !== this.quarter) {
      this.quarter = quarter;
      this.offset = this.read(quarter * QUARTER) - quarter * QUARTER;
    }
    return t + this.offset;
  }

  private read(t: number): number {
    const part: Record<string, number> = {};
    for (const { type, value } of this.format.formatToParts(t)) part[type] = Number(value);
    return Date.UTC(part.year!, part.month! - 1, part.day!, part.hour!, part.minute!);
  }
}

export const laterDate = (date: string, days: number): string =>
  new Date(Date.parse(date) + days * DAY).toISOString().slice(0, 10);

/** Whether the wall shows a time within a span of minutes; a span may run across midnight. */
export const within = (minute: number, { from, to }: { from: number; to: number }): boolean =>
  from <= to ? minute >= from && minute < to : minute >= from || minute < to;
