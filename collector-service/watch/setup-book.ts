import type { Setup } from '../../model/setup.ts';
import { type SettingsVersion, type TubSettings, tubSettings } from '../../model/tub-settings.ts';
import type { SetupVersion } from '../store/store.ts';

/**
 * The set-up over time. Every version that is made holds from its instant on, over everything that
 * was said before for that time; a tub's first set-up holds for always.
 */
export class SetupBook {
  private readonly timeline: readonly SetupVersion[];
  private readonly byTub = new Map<string, SettingsVersion[]>();
  /** The version made last; its number is the ETag. */
  readonly newest: SetupVersion | null;

  constructor(versions: readonly SetupVersion[]) {
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

  /** The book as it would be with one more version. */
  with(version: SetupVersion): SetupBook {
    return new SetupBook([...this.timeline, version]);
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
    return versions;
  }
}

const same = (a: TubSettings, b: TubSettings): boolean => JSON.stringify(a) === JSON.stringify(b);

/**
 * The instant from which two books tell a tub's figures differently; null where they never do.
 * A changed name alone changes no figure.
 */
function differsFrom(a: SetupBook, b: SetupBook, tub: string): number | null {
  const [before, after] = [figuresOnly(a.of(tub)), figuresOnly(b.of(tub))];
  for (let i = 0; i < Math.max(before.length, after.length); i++) {
    const [x, y] = [before[i], after[i]];
    if (x && y && x.from === y.from && same(x.settings, y.settings)) continue;
    return Math.min(x?.from ?? Number.POSITIVE_INFINITY, y?.from ?? Number.POSITIVE_INFINITY);
  }
  return null;
}

function figuresOnly(versions: readonly SettingsVersion[]): SettingsVersion[] {
  return versions.map(({ from, settings }) => ({ from, settings: { ...settings, name: '' } }));
}

/** The zone in which all days of a tub are told; undefined for a tub that is not set up. */
export const zoneOf = (book: SetupBook, tub: string): string | undefined =>
  book.of(tub).at(-1)?.settings.place.timeZone;

/**
 * The instant from which days of a tub are to be worked out again where one book takes another's
 * place; null where none is. Another zone moves all days.
 *
 * @param first  time of the tub's oldest reading
 */
export function changesFrom(
  before: SetupBook,
  after: SetupBook,
  tub: string,
  first: number,
): number | null {
  const since = differsFrom(before, after, tub);
  if (since === null) return null;
  return zoneOf(before, tub) === zoneOf(after, tub) ? Math.max(since, first) : first;
}
