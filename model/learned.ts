import type { BalanceHour } from './balance-hours.ts';
import { lossOfNights } from './cool-down.ts';
import { capacityUncertainty, type Evidence } from './evidence.ts';
import { heatBalance } from './heat-balance.ts';
import { returnPipeLitres } from './return-pipe.ts';
import type { LearnedShape } from './shapes.ts';
import { tubCapacityWhPerK } from './tub-losses.ts';
import type { TubSettings } from './tub-settings.ts';

/** A value that the program works with, and what it rests on. */
export interface LearnedValue {
  value: number;
  /** Standard uncertainty. */
  uncertainty: number;
  basis: 'learned' | 'set-up' | 'assumed';
  /** The readings that it rests on [ms since 1970-01-01 UTC]; null where it rests on none. */
  readingsFrom: number | null;
  readingsTo: number | null;
}

export interface Learned {
  lossWPerK: LearnedValue;
  /** Flow in use: pipe losses are in it, so it is not the flow and never judges a flow sensor. */
  flowLPerMin: LearnedValue;
  /** What stood in the pipe back to the tub and comes home cold at a start, its wall counted in. */
  standingLitres: LearnedValue;
}

/** How far back and forth around a day its learned values look [days]. */
export const LEARNS_FROM = { before: 21, after: 14 };

/** How far an entered or assumed value may be off, relative, k = 1. */
const ENTERED = { loss: 0.2, flow: 0.3 };
const ASSUMED = { loss: 0.4, flow: 0.3, standing: 0.4 };
/** An entered flow is the pump's; what reaches the tub by it is less by what the pipes lose. */
const PIPES_SHARE = 0.93;
/** How well that share is known, as a part of the flow, k = 1. */
const PIPES_UNCERTAINTY = 0.04;

/** How well the hours tell the standing water, as a share of what the pipe's length tells. */
const STANDING_UNCERTAINTY = 0.2;
/** What no balance of hours can tell apart: layers in still water, lag, other heat in sunny hours. */
const BALANCE_UNCERTAINTY = 0.05;

/** What is worked with on a day, learned from the evidence of the days around it. */
export function learnedFrom(evidence: readonly Evidence[], settings: TubSettings): Learned {
  const lossWPerK = lossLearned(evidence, settings);
  return { lossWPerK, ...flowLearned(evidence, settings, lossWPerK) };
}

function lossLearned(evidence: readonly Evidence[], settings: TubSettings): LearnedValue {
  const { tub, said } = settings;
  const nights = lossOfNights(evidence.flatMap(({ night }) => night ?? []));
  const isSaid = said.lossWPerK;
  if (!nights) {
    const pooled = lossOfHours(evidence, settings);
    return pooled ?? given(tub.lossWPerK, isSaid, isSaid ? ENTERED.loss : ASSUMED.loss);
  }
  return {
    value: nights.wPerK,
    uncertainty: nights.uncertaintyWPerK,
    basis: 'learned',
    readingsFrom: nights.from,
    readingsTo: nights.to,
  };
}

/** Dark hours that together tell a loss, where no single night does. */
const LEAST_DARK_HOURS = 20;
/** How well pooled hours tell the loss whatever their number: air, litres, what nobody told of. */
const POOLED_UNCERTAINTY = 0.06;

/**
 * The loss from all quiet dark hours together, for sensors in coarse steps and tubs that lose little:
 * the median over the hours of the clock, so that a filter pump at fixed hours does not count.
 */
function lossOfHours(evidence: readonly Evidence[], settings: TubSettings): LearnedValue | null {
  const days = evidence.filter(({ hours }) => hours.some(isDark));
  const dark = days.flatMap(({ hours }) => hours.filter(isDark));
  if (sum(dark, ({ hours }) => hours) < LEAST_DARK_HOURS) return null;
  const clock = new Map<number, BalanceHour[]>();
  for (const hour of dark) clock.set(hour.hour, [...(clock.get(hour.hour) ?? []), hour]);
  const whPerK = tubCapacityWhPerK(settings.tub.litres);
  const slots = [...clock.values()].map((hours) => ({
    wPerK: (-whPerK * sum(hours, ({ riseK }) => riseK)) / sum(hours, ({ lossKh }) => lossKh),
    hours: sum(hours, (hour) => hour.hours),
  }));
  const middle = middleOf(slots);
  if (!(middle.wPerK > 0)) return null;
  const apart =
    sum(slots, (slot) => slot.hours * Math.abs(slot.wPerK - middle.wPerK)) /
    sum(slots, ({ hours }) => hours);
  return {
    value: middle.wPerK,
    uncertainty: Math.hypot(
      apart / Math.sqrt(slots.length),
      Math.hypot(POOLED_UNCERTAINTY, capacityUncertainty(settings)) * middle.wPerK,
    ),
    basis: 'learned',
    readingsFrom: dayStart(days[0]!.date),
    readingsTo: dayStart(days.at(-1)!.date),
  };
}

/** The slot at which half of all hours lie below. */
function middleOf<T extends { wPerK: number; hours: number }>(slots: readonly T[]): T {
  const sorted = slots.toSorted((a, b) => a.wPerK - b.wPerK);
  let left = sum(sorted, ({ hours }) => hours) / 2;
  for (const slot of sorted) {
    left -= slot.hours;
    if (left <= 0) return slot;
  }
  return sorted.at(-1)!;
}

const isDark = (hour: BalanceHour): boolean =>
  hour.driveKwhMinPerL === 0 && hour.sunKwhPerM2 === 0 && hour.lossKh > 5 * hour.hours;

function flowLearned(
  evidence: readonly Evidence[],
  settings: TubSettings,
  loss: LearnedValue,
): Pick<Learned, 'flowLPerMin' | 'standingLitres'> {
  const pipe = returnPipeLitres(settings);
  const measured = measuredFlow(settings);
  const hours = evidence.flatMap((day) => day.hours);
  const balance = heatBalance(hours, loss.value, settings);
  if (!balance || !(balance.flowLPerMin > 0)) {
    const isSaid = settings.said.flowLPerMin;
    const standingLitres = given(pipe, false, ASSUMED.standing);
    if (measured) return { flowLPerMin: measured, standingLitres };
    const flow = given(settings.loop.flowLPerMin, isSaid, isSaid ? ENTERED.flow : ASSUMED.flow);
    return {
      flowLPerMin: {
        ...flow,
        value: PIPES_SHARE * flow.value,
        uncertainty: PIPES_SHARE * flow.uncertainty,
      },
      standingLitres,
    };
  }
  const value = balance.flowLPerMin;
  const running = hours.filter(({ driveKwhMinPerL }) => driveKwhMinPerL > 0.01);
  const drive = sum(running, (hour) => hour.driveKwhMinPerL);
  const fromLoss = (sum(running, (hour) => hour.lossKh) * loss.uncertainty) / 1000 / drive;
  const shared = value * Math.hypot(capacityUncertainty(settings), BALANCE_UNCERTAINTY);
  const days = evidence.filter((day) => day.hours.length > 0);
  const rests = {
    basis: 'learned' as const,
    readingsFrom: dayStart(days[0]!.date),
    readingsTo: dayStart(days.at(-1)!.date),
  };
  const uncertainty = Math.hypot(balance.scatterLPerMin, fromLoss, shared);
  const learned = { value, uncertainty, ...rests };
  return {
    flowLPerMin: measured ? { ...learned, ...together(learned, measured) } : learned,
    standingLitres: {
      value: Math.max(0, balance.standingLitres),
      uncertainty: STANDING_UNCERTAINTY * pipe,
      ...rests,
    },
  };
}

/** The flow in use by a measured flow; null where none was measured. */
function measuredFlow({ loop }: TubSettings): LearnedValue | null {
  if (loop.flowUncertaintyLPerMin === null) return null;
  const doubt = Math.hypot(
    PIPES_SHARE * loop.flowUncertaintyLPerMin,
    PIPES_UNCERTAINTY * loop.flowLPerMin,
  );
  const value = PIPES_SHARE * loop.flowLPerMin;
  return { ...given(value, true, 0), uncertainty: doubt };
}

/** Two tellings of one thing, each by its weight; what they differ more than they may widens the doubt. */
function together(a: LearnedValue, b: LearnedValue): Pick<LearnedValue, 'value' | 'uncertainty'> {
  const [weightA, weightB] = [a.uncertainty ** -2, b.uncertainty ** -2];
  const apart = Math.abs(a.value - b.value) / Math.hypot(a.uncertainty, b.uncertainty);
  return {
    value: (weightA * a.value + weightB * b.value) / (weightA + weightB),
    uncertainty: Math.max(1, apart) / Math.sqrt(weightA + weightB),
  };
}

const dayStart = (date: string): number => Date.parse(date);

const given = (value: number, isSaid: boolean, relative: number): LearnedValue => ({
  value,
  uncertainty: relative * value,
  basis: isSaid ? 'set-up' : 'assumed',
  readingsFrom: null,
  readingsTo: null,
});

const sum = <T>(items: readonly T[], of: (item: T) => number): number =>
  items.reduce((total, item) => total + of(item), 0);

/** Learned values as they are told; what rests on readings has been as it is since the newest of them. */
export const learnedShape = (learned: Learned): LearnedShape =>
  Object.fromEntries(
    Object.entries(learned).map(([name, { readingsFrom, readingsTo, ...value }]) => [
      name,
      {
        ...value,
        from: iso(readingsTo),
        readingsFrom: iso(readingsFrom),
        readingsTo: iso(readingsTo),
      },
    ]),
  );

const iso = (t: number | null): string | null => (t === null ? null : new Date(t).toISOString());
