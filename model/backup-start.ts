import type { EveningDay, Foreseen } from './evening.ts';
import { HOUR, QUARTER } from './readings.ts';
import type { WhyNoStart } from './shapes.ts';
import { mayRun, meanPrice } from './tariff.ts';
import { efficiencyAt } from './thermostat.ts';
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

/** Less heat than this is nothing to start the backup for [Wh]. */
const LEAST_WH = 50;

/**
 * When the backup must start so that the tub has the wanted temperature in the evening.
 *
 * Heat given early leaks until then, so an earlier start takes more of it; it can still be cheaper. A
 * backup that is started gives heat in all of its hours from then on until that is enough.
 *
 * @param present  no start is told that lies before it
 * @returns why there is none, where there is none
 */
export function backupStarts(
  day: EveningDay,
  { aloneC }: Pick<Foreseen, 'aloneC'>,
  present: number,
): BackupStarts | WhyNoStart {
  const { settings, learned, thermostat, at } = day;
  const { backup, tub } = settings;
  const whPerK = tubCapacityWhPerK(tub.litres);
  const lackingWh = (tub.targetC - aloneC) * whPerK;
  if (backup.kind === 'none') return 'no-backup';
  if (lackingWh < LEAST_WH) return 'warm-enough';

  const leaksPerMs = learned.lossWPerK.value / whPerK / HOUR;
  const slots = slotsBefore(at, present, settings);
  const starts: BackupStart[] = [];
  for (let i = slots.length - 1; i >= 0; i--) {
    if (!slots[i]!.mayRun) continue;
    const start = startIn(slots.slice(i), lackingWh, (slot) => ({
      mostWh: (backup.watts * (slot.to - slot.from)) / HOUR,
      arrives: Math.exp(-leaksPerMs * (at - (slot.from + slot.to) / 2)),
      efficiency: efficiencyAt(thermostat, day.airC),
    }));
    if (start) starts.push(start);
  }
  const [latest] = starts;
  if (!latest) return 'not-in-time';
  const costOf = ({ kwh, money }: BackupStart) => money ?? kwh;
  const cheapest = starts.reduce((best, each) =>
    costOf(each) < costOf(best) - 1e-9 ? each : best,
  );
  return { latest, cheapest };
}

/** A quarter of an hour, or what is left of one. */
interface Slot {
  from: number;
  to: number;
  mayRun: boolean;
  price: number | null;
}

/** The time from the present to the evening, cut back from the evening in quarters of an hour. */
function slotsBefore(at: number, present: number, { backup, tariff, place }: EveningSettings) {
  const slots: Slot[] = [];
  for (let to = at; to > present; to -= QUARTER) {
    const from = Math.max(present, to - QUARTER);
    const price = tariff && meanPrice(from, to, tariff, place.timeZone);
    slots.unshift({ from, to, mayRun: mayRun(from, backup.hours, place.timeZone), price });
  }
  return slots;
}

type EveningSettings = EveningDay['settings'];

/** What a start in the first of some slots takes; null where the evening comes before it is enough. */
function startIn(
  slots: readonly Slot[],
  lackingWh: number,
  of: (slot: Slot) => { mostWh: number; arrives: number; efficiency: number },
): BackupStart | null {
  let [left, kwh, money] = [lackingWh, 0, 0];
  let priced = true;
  for (const slot of slots) {
    if (!slot.mayRun) continue;
    const { mostWh, arrives, efficiency } = of(slot);
    const givenWh = Math.min(mostWh, left / arrives);
    const fuelKwh = givenWh / 1000 / efficiency;
    kwh += fuelKwh;
    if (slot.price === null) priced = false;
    else money += fuelKwh * slot.price;
    left -= givenWh * arrives;
    if (left <= 1) return { start: slots[0]!.from, kwh, money: priced ? money : null };
  }
  return null;
}
