import type { Quarter } from './ledger.ts';
import { QUARTER } from './readings.ts';
import { mayRun } from './tariff.ts';
import type { TubSettings } from './tub-settings.ts';

/** A thermostat that is above the wanted temperature by this much has the backup off. [K] */
const ABOVE_TARGET_K = 0.3;
const LEAST_BACKUP_KWH = 0.01; // in a quarter hour: less is stand-by
/** What water, sun and usual losses cannot do to a tub within a quarter hour. [K] */
const FASTEST_FALL_K = 0.3;

/** Why a quarter hour tells nothing of the covered tub left alone; null where it may. */
export type Disturbance = 'not heard' | 'cover open' | 'backup' | 'filter' | 'bath or top-up';

/**
 * What disturbed the tub in each quarter, as far as the sensors there can show: baths, top-ups and the
 * backup show in its temperature where no sensor tells of them.
 */
export function disturbances(
  quarters: readonly Quarter[],
  settings: TubSettings,
): (Disturbance | null)[] {
  const fastestK = Math.max(FASTEST_FALL_K, 1.2 * sensorStepK(quarters));
  return quarters.map((quarter, i) => {
    if (quarter.tubC === null) return 'not heard';
    if ((quarter.coverOpenMs ?? 0) > 0) return 'cover open';
    if ((quarter.filterOnMs ?? 0) > 0) return 'filter';
    if (mayHaveHeated(quarter, settings)) return 'backup';
    const before = neighbour(quarters, i, -1);
    const after = neighbour(quarters, i, 1);
    const fell = Math.max(
      before === null ? 0 : before - quarter.tubC,
      after === null ? 0 : quarter.tubC - after,
    );
    return fell > fastestK ? 'bath or top-up' : null;
  });
}

/** The smallest change that the tub's sensor can tell [K]; a fall by one such step is no bath. */
function sensorStepK(quarters: readonly Quarter[]): number {
  const changes = quarters
    .map(({ tubHighC, tubLowC }) => (tubHighC ?? 0) - (tubLowC ?? 0))
    .filter((change) => change > 1e-6);
  return changes.length > 0 ? Math.min(...changes) : 0;
}

/** The tub's temperature in the quarter next to one; null where that is missing. */
function neighbour(quarters: readonly Quarter[], i: number, step: 1 | -1): number | null {
  const other = quarters[i + step];
  if (!other || other.from !== quarters[i]!.from + step * QUARTER) return null;
  return other.tubC;
}

/** Whether the backup heated; without a sensor of it, whether it was allowed to and had reason to. */
function mayHaveHeated(quarter: Quarter, settings: TubSettings): boolean {
  if (quarter.backupKwh !== null) return quarter.backupKwh > LEAST_BACKUP_KWH;
  const { kind, hours } = settings.backup;
  if (kind === 'none') return false;
  if (quarter.tubC! >= settings.tub.targetC + ABOVE_TARGET_K) return false;
  return mayRun(quarter.from, hours, settings.place.timeZone);
}
