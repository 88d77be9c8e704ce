import { addDays, dayBounds } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import { countingAt } from '../../model/evidence-turns.ts';
import { LEARNS_FROM, type Learned, learnedFrom } from '../../model/learned.ts';
import type { SettingsVersion } from '../../model/tub-settings.ts';

type Figures = (date: string) => DayFigures | null;

/**
 * What was learned of a tub by the end of a day, knowing nothing of the days after it: what is told live
 * rests on this, and so does a replay of it.
 */
export function learnedBy(
  date: string,
  versions: readonly SettingsVersion[],
  figures: Figures,
): Learned {
  const end = dayBounds(date, versions.at(-1)!.settings.place.timeZone).to - 1;
  return learnedAt(end, addDays(date, 1), LEARNS_FROM.before + 1, versions, figures);
}

/** What was learned by some moment of a day that is not over: from the days before it. */
export const learnedBefore = (
  at: number,
  date: string,
  versions: readonly SettingsVersion[],
  figures: Figures,
): Learned => learnedAt(at, date, LEARNS_FROM.before, versions, figures);

/** From so many days before a date, as far as they count for an instant. */
function learnedAt(
  at: number,
  date: string,
  count: number,
  versions: readonly SettingsVersion[],
  figures: Figures,
): Learned {
  const { settings } = versions.findLast(({ from }) => from <= at) ?? versions[0]!;
  const evidence = Array.from({ length: count }, (_, i) => addDays(date, i - count)).flatMap(
    (day) => figures(day)?.evidence ?? [],
  );
  return learnedFrom(countingAt(versions, at)(evidence), settings);
}
