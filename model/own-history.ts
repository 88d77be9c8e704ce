import { quantile } from './minutes/usual.ts';

/** A figure of a day that is compared with the same figure of earlier days. */
export interface FigureOfDay {
  value: number;
  /** Height of the sun at noon [°]; where given, only days of a like season are compared. */
  noonDeg?: number;
}

/** How a figure stands now, how it stood, and the quotient of the two. */
export interface OwnHistory {
  recent: number;
  reference: number;
  share: number;
  /** Days that the two rest on. */
  recentDays: number;
  referenceDays: number;
}

const RECENT_DAYS = 14;
const REFERENCE_DAYS = 15;
const LEAST_DAYS = 5;
/** What the noon sun moves at most within four weeks; shade and glass differ beyond that. [°] */
const SEASON_DEG = 11;

/**
 * The newest days that had a figure, fourteen unless said otherwise, by the first fifteen before them.
 *
 * @param days  those with a figure since it was last meant to change (a sensor that was cleaned, a water
 *   change), in order, the newest last
 * @param share  which quantile of the days stands for them: 0.9 where weather only lowers, 0.5 else
 * @returns null with fewer than five days on either side
 */
export function againstOwnHistory(
  days: readonly FigureOfDay[],
  share: number,
  recentDays = RECENT_DAYS,
): OwnHistory | null {
  const newest = days.slice(-recentDays);
  const season = seasonOf(newest);
  const past = days
    .slice(0, -recentDays)
    .filter(
      ({ noonDeg }) => season === null || Math.abs((noonDeg ?? season) - season) <= SEASON_DEG,
    )
    .slice(0, REFERENCE_DAYS);
  if (newest.length < LEAST_DAYS || past.length < LEAST_DAYS) return null;
  const [recent, reference] = [newest, past].map((some) =>
    quantile(
      some.map(({ value }) => value),
      share,
    ),
  ) as [number, number];
  if (!(reference > 0)) return null;
  return {
    recent,
    reference,
    share: recent / reference,
    recentDays: newest.length,
    referenceDays: past.length,
  };
}

/** Mean height of the noon sun; null where no day tells it. */
function seasonOf(days: readonly FigureOfDay[]): number | null {
  const told = days.flatMap(({ noonDeg }) => noonDeg ?? []);
  return told.length === 0 ? null : told.reduce((sum, deg) => sum + deg, 0) / told.length;
}
