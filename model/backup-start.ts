import type { EveningDay, Foreseen } from './evening.ts';
import { HOUR, QUARTER } from './readings.ts';
import { mayRun, meanPrice } from './tariff.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';

/** A start of the backup that still brings the tub to the wanted temperature in time. */
export interface BackupStart {
  start: number; // ms since 1970-01-01 UTC
  /** In the backup's own fuel. */
  kwh: number;
  money: number | null;
}

export interface BackupStarts {
  latest: BackupStart;
  cheapest: BackupStart;
}

/**
 * When the backup must start so that the tub has the wanted temperature in the evening.
 *
 * Heat given early leaks until then, so an earlier start takes more of it; it can still be cheaper.
 *
 * @returns null where the sun alone is expected to be enough, or the backup cannot make it in its hours
 */
export function backupStarts(day: EveningDay, { middleC }: Foreseen): BackupStarts | null {
  const { settings, learned, askedAt, at } = day;
  const { backup, tariff, place } = settings;
  const lackingK = settings.tub.targetC - middleC;
  if (backup.kind === 'none' || lackingK <= 0) return null;
  const whPerK = tubCapacityWhPerK(settings.tub.litres);
  const leaksPerHour = learned.lossWPerK.value / whPerK;

  const starts: BackupStart[] = [];
  for (let start = at - QUARTER; start >= askedAt; start -= QUARTER) {
    if (!mayRun(start, backup.hours, place.timeZone)) continue;
    let heatWh = 0;
    let lackingWh = lackingK * whPerK;
    let end = start;
    while (end < at && lackingWh > 0 && mayRun(end, backup.hours, place.timeZone)) {
      const arrives = Math.exp((-leaksPerHour * (at - end)) / HOUR);
      const givenWh = Math.min(backup.watts * 0.25, lackingWh / arrives);
      heatWh += givenWh;
      lackingWh -= givenWh * arrives;
      end += QUARTER;
    }
    if (lackingWh > 1) continue;
    const kwh = heatWh / 1000 / backup.efficiency;
    const price = tariff && meanPrice(start, end, tariff, place.timeZone);
    starts.push({ start, kwh, money: price === null ? null : kwh * price });
  }
  const [latest] = starts;
  if (!latest) return null;
  const costOf = ({ kwh, money }: BackupStart) => money ?? kwh;
  const cheapest = starts.reduce((best, each) =>
    costOf(each) < costOf(best) - 1e-9 ? each : best,
  );
  return { latest, cheapest };
}
