import { dayBounds, localDate, type Span } from '../../model/civil-time.ts';
import { type Turn, turnsOf } from '../../model/evidence-turns.ts';
import { LEARNS_FROM } from '../../model/learned.ts';
import type { LogEntry } from '../../model/owner-log.ts';
import { withLog } from '../../model/owner-log-settings.ts';
import { HOUR } from '../../model/readings.ts';
import type { Setup } from '../../model/setup.ts';
import { type SettingsVersion, type TubSettings, tubSettings } from '../../model/tub-settings.ts';
import type { SetupVersion } from '../store/store.ts';

/** The owner's log of each tub that has one. */
export type Logs = ReadonlyMap<string, readonly LogEntry[]>;

/**
 * The set-up over time. Every version that is made holds from its instant on, over everything that
 * was said before for that time; a tub's first set-up holds for always. The owner's log is folded in.
 */
export class SetupBook {
  private readonly timeline: readonly SetupVersion[];
  private readonly logs: Logs;
  private readonly byTub = new Map<string, SettingsVersion[]>();
  /** The version made last; its number is the ETag. */
  readonly newest: SetupVersion | null;

  constructor(versions: readonly SetupVersion[], logs: Logs = new Map()) {
    this.logs = logs;
    const timeline: SetupVersion[] = [];
    for (const version of versions) {
      while (timeline.length > 0 && timeline.at(-1)!.from >= version.from) timeline.pop();
      timeline.push(version);
    }
    this.timeline = timeline;
    this.newest = versions.at(-1) ?? null;
    for (const { id } of this.current.tubs) this.byTub.set(id, this.versionsOf(id));
  }

  get current(): Setup {
    return this.newest?.setup ?? { tubs: [] };
  }

  get etag(): string {
    return `"${this.newest?.id ?? 0}"`;
  }

  /** The set-ups of a tub, first one first; empty for a tub that is not set up (any more). */
  of(tub: string): readonly SettingsVersion[] {
    return this.byTub.get(tub) ?? [];
  }

  /** The set-up of a tub that was in force at an instant; null for a tub that is not set up. */
  at(tub: string, t: number): TubSettings | null {
    return this.of(tub).findLast((version) => version.from <= t)?.settings ?? null;
  }

  /** What the owner told of a tub, the newest first. */
  log(tub: string): readonly LogEntry[] {
    return this.logs.get(tub) ?? [];
  }

  /** The book as it would be with one more version. */
  with(version: SetupVersion): SetupBook {
    return new SetupBook([...this.timeline, version], this.logs);
  }

  /** The book as it would be with another log of a tub. */
  withLog(tub: string, entries: readonly LogEntry[]): SetupBook {
    return new SetupBook(this.timeline, new Map([...this.logs, [tub, entries]]));
  }

  private versionsOf(tub: string): SettingsVersion[] {
    const versions: SettingsVersion[] = [];
    for (const { from, setup } of this.timeline) {
      const said = setup.tubs.find(({ id }) => id === tub);
      if (!said) continue;
      const settings = tubSettings(said);
      const before = versions.at(-1);
      if (!before) versions.push({ from: Number.NEGATIVE_INFINITY, settings });
      else if (!same(before.settings, settings)) versions.push({ from, settings });
    }
    return withLog(versions, this.log(tub));
  }
}

const same = (a: TubSettings, b: TubSettings): boolean => JSON.stringify(a) === JSON.stringify(b);

/** The zone in which all days of a tub are told; undefined for a tub that is not set up. */
export const zoneOf = (book: SetupBook, tub: string): string | undefined =>
  book.of(tub).at(-1)?.settings.place.timeZone;

/** A version's settings as text, but for what changes no figure by itself; compared piece by piece. */
interface Piece {
  from: number;
  figures: string;
}

/** A changed name changes no figure; what rules alone ask for changes none either. */
function pieces(versions: readonly SettingsVersion[]): Piece[] {
  return versions.map(({ from, settings }) => {
    const { bathing, changingWater, drained, flowConfirmed } = settings.owner;
    const owner = { bathing, changingWater, drained, flowConfirmed };
    return { from, figures: JSON.stringify({ ...settings, name: '', owner }) };
  });
}

/**
 * The spans in which two books tell a tub's figures differently; they may overlap, and have no end.
 * Another zone moves all days.
 */
function differences(a: SetupBook, b: SetupBook, tub: string): Span[] {
  const [before, after] = [pieces(a.of(tub)), pieces(b.of(tub))];
  const cuts = [...new Set([...before, ...after].map(({ from }) => from))].sort((x, y) => x - y);
  const spans: Span[] = [];
  let [i, j] = [-1, -1];
  cuts.forEach((from, n) => {
    while (i + 1 < before.length && before[i + 1]!.from <= from) i++;
    while (j + 1 < after.length && after[j + 1]!.from <= from) j++;
    const [x, y] = [before[i], after[j]];
    const to = cuts[n + 1] ?? Number.POSITIVE_INFINITY;
    if (x?.figures !== y?.figures) spans.push({ from, to });
  });
  const all = [...spans, ...turnDifferences(a.of(tub), b.of(tub))];
  if (all.length === 0 || zoneOf(a, tub) === zoneOf(b, tub)) return all;
  return [{ from: Number.NEGATIVE_INFINITY, to: Number.POSITIVE_INFINITY }];
}

const DAY = 24 * HOUR;

/** Days around a turn that one book alone knows of learn from other days. */
function turnDifferences(
  before: readonly SettingsVersion[],
  after: readonly SettingsVersion[],
): Span[] {
  const [a, b] = [before, after].map((versions) => new Map(turnsOf(versions).map(named))) as [
    Map<string, number>,
    Map<string, number>,
  ];
  const changed = [...a, ...b].filter(([turn]) => a.has(turn) !== b.has(turn));
  return changed.map(([, t]) => ({
    from: t - (LEARNS_FROM.after + 2) * DAY,
    to: t + (LEARNS_FROM.before + 2) * DAY,
  }));
}

const named = ({ at, of }: Turn): [string, number] => [`${of} ${at}`, at];

/**
 * The stretches of a tub's readings that are to be worked out again where one book takes another's
 * place, in order and apart; both ends included.
 *
 * @param heard  times of the tub's oldest and newest reading
 */
export function changedStretches(
  before: SetupBook,
  after: SetupBook,
  tub: string,
  heard: Span,
): Span[] {
  const stretches: Span[] = [];
  const zone = zoneOf(after, tub) ?? zoneOf(before, tub);
  // a day is judged as its end was set up: what changes later on the newest day changes that day too
  const end = zone ? dayBounds(localDate(heard.to, zone), zone).to - 1 : heard.to;
  for (const span of differences(before, after, tub).sort((a, b) => a.from - b.from)) {
    if (span.from > end) continue;
    const from = Math.min(Math.max(span.from, heard.from), heard.to);
    const to = Math.min(span.to - 1, heard.to);
    if (from > to) continue;
    const last = stretches.at(-1);
    if (last && from <= last.to + 1) last.to = Math.max(last.to, to);
    else stretches.push({ from, to });
  }
  return stretches;
}

/**
 * The instant from which days of a tub differ between two books; null where none does.
 *
 * @param first  time of the tub's oldest reading
 */
export function changesFrom(
  before: SetupBook,
  after: SetupBook,
  tub: string,
  first: number,
): number | null {
  const spans = differences(before, after, tub);
  return spans.length === 0 ? null : Math.max(first, Math.min(...spans.map(({ from }) => from)));
}
