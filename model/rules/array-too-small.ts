import { airOver } from '../air.ts';
import { toldHeat } from '../estimate.ts';
import { nightsWithin } from '../night.ts';
import type { ClosedDay, Finding, PastDay, Rule } from './rule.ts';

const LIMITS = {
  /** Share of what the tub needs that the best four weeks brought. */
  smallBelow: 0.25,
  goneAbove: 0.3,
};
const BEST_DAYS = 28;
/** Days before anything is said of a season. */
const LEAST_DAYS = 56;

interface GainAndNeed {
  gainKwh: number;
  needKwh: number;
}

/** The loop is sound and cannot carry the load: a finding, not a fault. */
export const arrayTooSmall: Rule<unknown, Record<string, never>, GainAndNeed, typeof LIMITS> = {
  fault: 'array-too-small',
  severity: 'note',
  onMs: 0,
  offMs: 0,
  limits: LIMITS,
  rising: [['smallBelow', 'goneAbove']],
  needs: [
    ['tub/temperature'],
    ['collector/temperature'],
    ['pump/running', 'pump/power', 'pump/flow'],
  ],
  uses: ['outdoor/temperature', 'pump/flow', 'collector/inlet', 'collector/outlet'],
  mutedBy: [
    'array-under-performing',
    'pump-not-running',
    'running-without-flow',
    'one-collector-dead',
  ],
  daily: {
    begin: () => ({}),
    add: () => {},
    close: gainAndNeed,
    judge(days: readonly PastDay<GainAndNeed>[], _, { smallBelow, goneAbove }): Finding {
      if (days.length < LEAST_DAYS) return 'blind';
      const best = days
        .slice(-LEAST_DAYS * 2)
        .map(({ fact }) => fact)
        .sort((a, b) => b.gainKwh / b.needKwh - a.gainKwh / a.needKwh)
        .slice(0, BEST_DAYS);
      const sum = (of: (day: GainAndNeed) => number) =>
        best.reduce((total, day) => total + of(day), 0) / BEST_DAYS;
      const gainKwh = sum((day) => day.gainKwh);
      const needKwh = sum((day) => day.needKwh);
      const share = gainKwh / needKwh;
      if (share > goneAbove) return 'gone';
      return share < smallBelow ? { evidence: { share, gainKwh, needKwh } } : 'between';
    },
  },
};

/** What the loop brought in a day, and what a covered tub at its wanted temperature loses in it. */
function gainAndNeed(
  _: unknown,
  { quarters, bounds, settings, learned }: ClosedDay,
): GainAndNeed | null {
  const { latitude, longitude } = settings.place;
  const known = quarters.filter((quarter) => toldHeat(quarter, learned).gainKwh !== null);
  if (known.length < 72) return null;
  const gainKwh = known.reduce((sum, quarter) => {
    const { gainKwh: gain, lostKwh } = toldHeat(quarter, learned);
    return sum + gain! - (lostKwh ?? 0);
  }, 0);
  const nights = nightsWithin(bounds.from, bounds.to, latitude, longitude);
  const { airC } = airOver(quarters, nights, settings);
  const meanAirC = airC.reduce((sum, value) => sum + value, 0) / airC.length;
  const needKwh = (learned.lossWPerK.value * 24 * (settings.tub.targetC - meanAirC)) / 1000;
  return needKwh > 0.5 ? { gainKwh: Math.max(0, gainKwh), needKwh } : null;
}
