import { addDays, dayBounds } from '../../model/civil-time.ts';
import type { DayFigures } from '../../model/day-figures.ts';
import { LEARNS_FROM, type Learned, learnedFrom } from '../../model/learned.ts';
import { underCoverOf } from '../../model/owner-log-settings.ts';
import type { SettingsVersion } from '../../model/tub-settings.ts';

/**
 * What was learned of a tub by the end of a day, knowing nothing of the days after it: what is told live
 * rests on this, and so does a replay of it.
 */
export function learnedBy(
  date: string,
  versions: readonly SettingsVersion[],
  figures: (date: string) => DayFigures | null,
): Learned {
  const end = dayBounds(date, versions.at(-1)!.settings.place.timeZone).to - 1;
  const { settings } = versions.findLast(({ from }) => from <= end) ?? versions[0]!;
  const isOfThisCover = underCoverOf(versions, end);
  const evidence = Array.from({ length: LEARNS_FROM.before + 1 }, (_, i) =>
    addDays(date, i - LEARNS_FROM.before),
  ).flatMap((day) => (isOfThisCover(day) ? (figures(day)?.evidence ?? []) : []));
  return learnedFrom(evidence, settings);
}
