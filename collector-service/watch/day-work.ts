import { setImmediate as turn } from 'node:timers/promises';
import { addDays, dayBounds, type Span } from '../../model/civil-time.ts';
import type { DayFigures, TubsAtMidnight } from '../../model/day-figures.ts';
import { type Evidence, evidenceOf, nightBefore } from '../../model/evidence.ts';
import { countingAt } from '../../model/evidence-turns.ts';
import { expectedOn } from '../../model/expected.ts';
import { LEARNS_FROM, learnedFrom } from '../../model/learned.ts';
import type { Quarter } from '../../model/ledger.ts';
import { nightsWithin } from '../../model/night.ts';
import { HOUR, type Traces } from '../../model/readings.ts';
import { electricityKwh, savedOn } from '../../model/saved.ts';
import { type Spoilt, spoiltWithin } from '../../model/spoilt.ts';
import type { SettingsVersion, TubSettings } from '../../model/tub-settings.ts';

/** Where days are worked out from: the store, or a replay's memory. */
export interface DaySource {
  quarters(from: number, to: number): Promise<Quarter[]>;
  traces(points: readonly string[], from: number, to: number): Promise<Traces>;
}

/** What is known of days beside those that are worked out, where these are part of a longer story. */
export interface Around {
  /** The tubs at the end of the day before the first one. */
  before: TubsAtMidnight | null;
  /** What other days told, by date. */
  evidence: ReadonlyMap<string, Evidence>;
  /** What faults spoil, of any day. */
  spoilt: readonly Spoilt[];
}

export const nothingAround: Around = { before: null, evidence: new Map(), spoilt: [] };

const nightPoints = ['tub/temperature', 'outdoor/temperature', 'collector/temperature'];

/**
 * Works out whole days of one tub: what each tells (evidence), what is learned from the days around
 * it, and what the sun saved, which runs on from day to day.
 *
 * `figures` holds every day worked out so far, by date, and is changed in place.
 */
export class DayWork {
  private readonly figures: Map<string, DayFigures>;
  private readonly source: DaySource;
  private readonly versions: readonly SettingsVersion[];
  private readonly present: number;
  private readonly around: Around;

  /** @param present  time of the newest reading: the local day that holds it is still under way */
  constructor(
    figures: Map<string, DayFigures>,
    source: DaySource,
    versions: readonly SettingsVersion[],
    present: number,
    around: Around = nothingAround,
  ) {
    this.around = around;
    this.figures = figures;
    this.source = source;
    this.versions = versions;
    this.present = present;
  }

  /**
   * Works out again whatever follows from changed quarters.
   *
   * @param dates  dates with data, in order, up to the present one
   * @param changed  those whose quarters changed, or whose night's did
   * @returns the dates whose figures changed, in order
   */
  async run(dates: readonly string[], changed: ReadonlySet<string>): Promise<string[]> {
    const evident = new Set<string>();
    for (const date of dates) {
      const row = this.figures.get(date);
      if ((row?.evidence && !changed.has(date)) || this.isUnderWay(date)) continue;
      const evidence = await this.evidence(date);
      await turn();
      if (row?.evidence && same(row.evidence, evidence)) continue;
      this.pending.set(date, evidence);
      evident.add(date);
    }
    const toLearn = around(evident, dates);
    const told: string[] = [];
    let { before } = this.around;
    for (const date of dates) {
      const row = this.figures.get(date);
      const mustLearn = !row || toLearn.has(date) || changed.has(date);
      const learned = mustLearn ? this.learned(date) : row.learned;
      const moved = !row || !same(row.before, before) || !same(row.spoilt, this.spoiltOn(date));
      if (mustLearn || moved) {
        const next = await this.figuresOf(date, learned, before);
        if (!row || !same(row, next)) {
          this.figures.set(date, next);
          told.push(date);
        }
        await turn();
      }
      before = this.figures.get(date)!.after;
    }
    this.pending.clear();
    return told;
  }

  /** Evidence of this run that is not in its row yet. */
  private readonly pending = new Map<string, Evidence>();

  private settingsOn(date: string): TubSettings {
    const end = this.bounds(date).to - 1;
    return (this.versions.findLast(({ from }) => from <= end) ?? this.versions[0]!).settings;
  }

  private bounds(date: string): Span {
    return dayBounds(date, this.versions.at(-1)!.settings.place.timeZone);
  }

  private spoiltOn(date: string): Spoilt[] {
    return spoiltWithin(this.around.spoilt, this.bounds(date));
  }

  private isUnderWay(date: string): boolean {
    return this.bounds(date).to > this.present;
  }

  private nights(from: number, to: number, { place }: TubSettings): Span[] {
    return nightsWithin(from, to, place.latitude, place.longitude);
  }

  private async evidence(date: string): Promise<Evidence> {
    const settings = this.settingsOn(date);
    const day = this.bounds(date);
    const from = day.from - 12 * HOUR;
    const nights = this.nights(from, day.to, settings);
    const night = nightBefore(day, nights);
    const traces = night ? await this.source.traces(nightPoints, night.from, night.to) : new Map();
    const quarters = await this.source.quarters(from, day.to);
    return evidenceOf(date, settings, day, nights, quarters, traces);
  }

  private learned(date: string) {
    const evidence: Evidence[] = [];
    const last = addDays(date, LEARNS_FROM.after);
    for (let day = addDays(date, -LEARNS_FROM.before); day <= last; day = addDays(day, 1)) {
      const found =
        this.pending.get(day) ?? this.figures.get(day)?.evidence ?? this.around.evidence.get(day);
      if (found) evidence.push(found);
    }
    const counting = countingAt(this.versions, this.bounds(date).to - 1);
    return learnedFrom(counting(evidence), this.settingsOn(date));
  }

  private async figuresOf(
    date: string,
    learned: DayFigures['learned'],
    before: TubsAtMidnight | null,
  ): Promise<DayFigures> {
    const settings = this.settingsOn(date);
    const day = this.bounds(date);
    const quarters = await this.source.quarters(day.from, day.to);
    const nights = this.nights(day.from, day.to, settings);
    const pumpKwh = electricityKwh(quarters, day, this.present, settings);
    const spoilt = this.spoiltOn(date);
    const come = { from: day.from, to: Math.min(day.to, this.present) };
    const inputs = { settings, learned, quarters, nights, day: come, spoilt, before, pumpKwh };
    const saved = savedOn(inputs);
    return {
      date,
      evidence: this.pending.get(date) ?? this.figures.get(date)?.evidence ?? null,
      learned,
      expected: expectedOn({ settings, learned, quarters, day, present: this.present }),
      before,
      spoilt,
      saved,
      after: saved?.after ?? before,
    };
  }
}

/** Every date whose learned values rest on one of some days. */
function around(evident: ReadonlySet<string>, dates: readonly string[]): Set<string> {
  const reached = new Set<string>();
  if (evident.size === 0) return reached;
  for (const date of dates) {
    for (let n = -LEARNS_FROM.before; n <= LEARNS_FROM.after; n++) {
      if (evident.has(addDays(date, n))) {
        reached.add(date);
        break;
      }
    }
  }
  return reached;
}

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);
