import type { BalanceHour } from './balance-hours.ts';
import { dayBounds, minuteOfDay } from './civil-time.ts';
import { type CoolDown, type LossOfNights, lossOfNights } from './cool-down.ts';
import { capacityUncertainty, type Evidence } from './evidence.ts';
import { QUARTER } from './readings.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/** Dark hours that together tell a loss, where no single night does. */
const LEAST_DARK_HOURS = 20;
/** How well pooled hours tell the loss whatever their number: air, litres, what nobody told of. */
const POOLED_UNCERTAINTY = 0.06;
/** An hour of the clock at which the tub plainly cools by less than this part of the usual is heated. */
const WARM_SHARE = 0.75;
/** How many times what such hours scatter by makes it plain. */
const PLAINLY = 3;
const LEAST_DIFFERENCE_K = 10;
/** An irradiance sensor tells a little in the dark. [kWh/m² in an hour] */
const DARK_KWH_PER_M2 = 0.01;
const LEAST_RUN_HOURS = 2;
const LEAST_RUNS = 8;
/** What no covered tub loses within an hour, a coarse sensor's step included: it stood open. [K] */
const OPEN_FALL_K = 0.7;

/**
 * The loss of the covered tub from all its nights: the median of the cool-downs, and where these are too
 * few, as with sensors in coarse steps and tubs that lose little, from all quiet dark hours together.
 * What comes at the same hours of every night, such as a filter pump's heat, shows in the dark hours of
 * all days and is taken off.
 *
 * @returns null where neither tells it
 */
export function lossLearned(
  evidence: readonly Evidence[],
  settings: TubSettings,
): Omit<LossOfNights, 'spreadWPerK'> | null {
  const days = evidence.map(({ hours }) => hours.filter(isDark));
  const clock = clockOf(days.flat(), tubCapacityWhPerK(settings.tub.litres));
  const nights = lossOfNights(
    evidence.flatMap(({ night }) => (night ? withoutOtherHeat(night, clock, settings) : [])),
  );
  return nights ?? lossOfRuns(evidence, days, clock, settings);
}

/** What the dark hours tell of each hour of the clock. */
interface Clock {
  /** The usual cooling as a loss; null where too few hours tell it [W/K]. */
  wPerK: number | null;
  /** By how much the loss seems less at an hour that something heats [W/K]. */
  lessWPerK: Map<number, number>;
}

function clockOf(dark: readonly BalanceHour[], whPerK: number): Clock {
  const byHour = new Map<number, BalanceHour[]>();
  for (const hour of dark) byHour.set(hour.hour, [...(byHour.get(hour.hour) ?? []), hour]);
  const slots = [...byHour].map(([hour, all]) => ({
    hour,
    all,
    wPerK: lossOf(all, whPerK),
    weight: sum(all, ({ hours }) => hours),
  }));
  if (sum(slots, ({ weight }) => weight) < LEAST_DARK_HOURS) {
    return { wPerK: null, lessWPerK: new Map() };
  }
  const wPerK = middleMean(slots);
  const warm = slots.filter(
    (slot) => slot.wPerK < WARM_SHARE * wPerK && isPlain(slot.all, wPerK / whPerK),
  );
  return { wPerK, lessWPerK: new Map(warm.map((slot) => [slot.hour, wPerK - slot.wPerK])) };
}

/** Whether hours cooled less than usual by more than they scatter. */
function isPlain(hours: readonly BalanceHour[], perHour: number): boolean {
  const off = hours.map(({ riseK, lossKh }) => riseK + perHour * lossKh);
  const mean = sum(off, (k) => k) / off.length;
  const squares = sum(off, (k) => (k - mean) ** 2);
  return mean > PLAINLY * Math.sqrt(squares / Math.max(1, off.length - 1) / off.length);
}

const lossOf = (hours: readonly BalanceHour[], whPerK: number): number =>
  (-whPerK * sum(hours, ({ riseK }) => riseK)) / sum(hours, ({ lossKh }) => lossKh);

/** A night's loss with what heated the tub at hours of the clock counted as loss. */
function withoutOtherHeat(night: CoolDown, { lessWPerK }: Clock, { place }: TubSettings): CoolDown {
  if (lessWPerK.size === 0) return night;
  let [less, weights] = [0, 0];
  for (let t = night.from; t < night.to; t += QUARTER) {
    // What happens in the middle of a line turns its slope the most.
    const share = (t + QUARTER / 2 - night.from) / (night.to - night.from);
    const weight = Math.max(0, share * (1 - share));
    weights += weight;
    less += weight * (lessWPerK.get(Math.floor(minuteOfDay(t, place.timeZone) / 60)) ?? 0);
  }
  return { ...night, wPerK: night.wPerK + less / weights };
}

/**
 * The mean of the middle half of the runs of dark hours, by how much each would have cooled the tub: a
 * median would hang on a coarse sensor's few steps, and a mean on baths.
 */
function lossOfRuns(
  evidence: readonly Evidence[],
  days: readonly BalanceHour[][],
  { wPerK, lessWPerK }: Clock,
  settings: TubSettings,
): Omit<LossOfNights, 'spreadWPerK'> | null {
  if (wPerK === null) return null;
  const whPerK = tubCapacityWhPerK(settings.tub.litres);
  const runs = days
    .flatMap((hours) =>
      runsOf(hours.filter(({ hour, riseK }) => !lessWPerK.has(hour) && riseK > -OPEN_FALL_K)),
    )
    .filter((run) => sum(run, ({ hours }) => hours) >= LEAST_RUN_HOURS)
    .map((run) => ({ wPerK: lossOf(run, whPerK), weight: sum(run, ({ lossKh }) => lossKh) }));
  if (runs.length < LEAST_RUNS) return null;
  const middle = middleMean(runs);
  if (!(middle > 0)) return null;
  const apart = runs.map((run) => ({ ...run, wPerK: Math.abs(run.wPerK - middle) }));
  const random = (1.4826 * middleOf(apart).wPerK * Math.sqrt(Math.PI / 2)) / Math.sqrt(runs.length);
  const systematic = Math.hypot(POOLED_UNCERTAINTY, capacityUncertainty(settings)) * middle;
  const dates = evidence.filter((_, i) => days[i]!.length > 0).map(({ date }) => date);
  const { timeZone } = settings.place;
  return {
    wPerK: middle,
    uncertaintyWPerK: Math.hypot(random, systematic),
    nights: runs.length,
    from: dayBounds(dates[0]!, timeZone).from,
    to: dayBounds(dates.at(-1)!, timeZone).to,
  };
}

/** Hours of a day that follow one another. */
function runsOf(hours: readonly BalanceHour[]): BalanceHour[][] {
  const runs: BalanceHour[][] = [];
  hours.forEach((hour, i) => {
    const before = hours[i - 1];
    if (before && hour.hour - before.hour <= 1) runs.at(-1)!.push(hour);
    else runs.push([hour]);
  });
  return runs;
}

/** Mean of what lies between the lowest and the highest quarter of all weight. */
function middleMean(all: readonly { wPerK: number; weight: number }[]): number {
  const whole = sum(all, ({ weight }) => weight);
  let [below, total] = [0, 0];
  for (const { wPerK, weight } of all.toSorted((a, b) => a.wPerK - b.wPerK)) {
    const inside = Math.min(below + weight, 0.75 * whole) - Math.max(below, 0.25 * whole);
    total += Math.max(0, inside) * wPerK;
    below += weight;
  }
  return total / (whole / 2);
}

/** The one at which half of all weight lies below. */
function middleOf<T extends { wPerK: number; weight: number }>(all: readonly T[]): T {
  const sorted = all.toSorted((a, b) => a.wPerK - b.wPerK);
  let left = sum(sorted, ({ weight }) => weight) / 2;
  for (const each of sorted) {
    left -= each.weight;
    if (left <= 0) return each;
  }
  return sorted.at(-1)!;
}

const isDark = ({ hours, driveKwhMinPerL, sunKwhPerM2, lossKh }: BalanceHour): boolean =>
  driveKwhMinPerL === 0 &&
  sunKwhPerM2 < DARK_KWH_PER_M2 * hours &&
  lossKh > LEAST_DIFFERENCE_K * hours;

const sum = <T>(items: readonly T[], of: (item: T) => number): number =>
  items.reduce((total, item) => total + of(item), 0);
