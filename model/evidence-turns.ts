import { dayBounds } from './civil-time.ts';
import type { Evidence } from './evidence.ts';
import { LEAST_DRIVE } from './heat-balance.ts';
import { HOUR } from './readings.ts';
import type { SettingsVersion, TubSettings } from './tub-settings.ts';

/**
 * An instant from which things are another way than before: what was heard on one side of it tells
 * nothing of the other. Of a tub that turned, nothing does; of a loop, hours with water running in it.
 */
export interface Turn {
  at: number;
  of: 'tub' | 'loop';
}

/** What the tub's balance rests on; a sensor that was moved, or corrected from some day on, read otherwise. */
const balancePoints = ['tub/temperature', 'collector/temperature', 'outdoor/temperature'];

/** Another cover, other litres, a sensor in another place: the tub's nights are told anew. */
const tubOf = ({ tub, corrections, owner }: TubSettings): unknown => [
  tub.litres,
  owner.coverSince,
  owner.movedAt['*'],
  balancePoints.map((point) => [owner.movedAt[point], corrections[point]]),
];

/** A cleaned filter, another pump, pipe or array: the flow is told anew. Its measured value is no change. */
const loopOf = ({ loop, pump, collectors, owner }: TubSettings, isMeasured: boolean): unknown => [
  owner.filterCleanedAt,
  { ...loop, flowUncertaintyLPerMin: null, flowLPerMin: isMeasured ? null : loop.flowLPerMin },
  { ...pump, standbyWatts: null },
  collectors,
];

const kept = new WeakMap<readonly SettingsVersion[], readonly Turn[]>();

/** The turns of a tub's story, in order; every day of a year that is worked out asks for the same. */
export function turnsOf(versions: readonly SettingsVersion[]): readonly Turn[] {
  const turns = kept.get(versions) ?? turnsBetween(versions);
  kept.set(versions, turns);
  return turns;
}

function turnsBetween(versions: readonly SettingsVersion[]): Turn[] {
  return versions.flatMap(({ from, settings }, i): Turn[] => {
    const before = versions[i - 1]?.settings;
    if (!before) return [];
    if (!same(tubOf(before), tubOf(settings))) return [{ at: from, of: 'tub' }];
    const isMeasured = settings.loop.flowUncertaintyLPerMin !== null;
    const differs = !same(loopOf(before, isMeasured), loopOf(settings, isMeasured));
    return differs ? [{ at: from, of: 'loop' }] : [];
  });
}

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

/** A day's evidence reaches back to noon of the day before, where its night begins. */
const EVIDENCE_BEFORE_MS = 12 * HOUR;

/** What of some days' evidence counts for an instant: no more than was heard between the same turns. */
export function countingAt(
  versions: readonly SettingsVersion[],
  t: number,
): (evidence: readonly Evidence[]) => Evidence[] {
  const turns = turnsOf(versions);
  const zone = versions.at(-1)!.settings.place.timeZone;
  const apart = (of: readonly Turn[], from: number, to: number) =>
    of.some(({ at }) => at > Math.min(from, t) && at <= Math.max(to - 1, t));
  const ofTub = turns.filter(({ of }) => of === 'tub');
  return (evidence) =>
    evidence.flatMap((day) => {
      if (turns.length === 0) return day;
      const { from, to } = dayBounds(day.date, zone);
      if (apart(ofTub, from - EVIDENCE_BEFORE_MS, to)) return [];
      if (!apart(turns, from, to)) return day;
      return { ...day, hours: day.hours.filter((hour) => hour.driveKwhMinPerL <= LEAST_DRIVE) };
    });
}
