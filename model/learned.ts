import { lossOfNights } from './cool-down.ts';
import { capacityUncertainty, type Evidence } from './evidence.ts';
import { heatBalance } from './heat-balance.ts';
import type { LearnedShape } from './shapes.ts';
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
}

/** How far back and forth around a day its learned values look [days]. */
export const LEARNS_FROM = { before: 21, after: 14 };

/** How far an entered or assumed value may be off, relative, k = 1. */
const ENTERED = { loss: 0.2, flow: 0.3 };
const ASSUMED = { loss: 0.4, flow: 0.3 };
/** An entered flow is the pump's; what reaches the tub by it is less by what the pipes lose. */
const PIPES_SHARE = 0.93;

/** What no balance of hours can tell apart: layers in still water, lag, other heat in sunny hours. */
const BALANCE_UNCERTAINTY = 0.03;

/** What is worked with on a day, learned from the evidence of the days around it. */
export function learnedFrom(evidence: readonly Evidence[], settings: TubSettings): Learned {
  const lossWPerK = lossLearned(evidence, settings);
  return { lossWPerK, flowLPerMin: flowLearned(evidence, settings, lossWPerK) };
}

function lossLearned(evidence: readonly Evidence[], { tub, said }: TubSettings): LearnedValue {
  const nights = lossOfNights(evidence.flatMap(({ night }) => night ?? []));
  const isSaid = said.lossWPerK;
  if (!nights) return given(tub.lossWPerK, isSaid, isSaid ? ENTERED.loss : ASSUMED.loss);
  return {
    value: nights.wPerK,
    uncertainty: nights.uncertaintyWPerK,
    basis: 'learned',
    readingsFrom: nights.from,
    readingsTo: nights.to,
  };
}

function flowLearned(
  evidence: readonly Evidence[],
  settings: TubSettings,
  loss: LearnedValue,
): LearnedValue {
  const hours = evidence.flatMap((day) => day.hours);
  const balance = heatBalance(hours, loss.value, settings);
  if (!balance || !(balance.flowLPerMin > 0)) {
    const isSaid = settings.said.flowLPerMin;
    const flow = given(settings.loop.flowLPerMin, isSaid, isSaid ? ENTERED.flow : ASSUMED.flow);
    return {
      ...flow,
      value: PIPES_SHARE * flow.value,
      uncertainty: PIPES_SHARE * flow.uncertainty,
    };
  }
  const value = balance.flowLPerMin;
  const running = hours.filter(({ driveKwhMinPerL }) => driveKwhMinPerL > 0.01);
  const drive = sum(running, (hour) => hour.driveKwhMinPerL);
  const fromLoss = (sum(running, (hour) => hour.lossKh) * loss.uncertainty) / 1000 / drive;
  const shared = value * Math.hypot(capacityUncertainty(settings), BALANCE_UNCERTAINTY);
  const days = evidence.filter((day) => day.hours.length > 0);
  return {
    value,
    uncertainty: Math.hypot(balance.scatterLPerMin, fromLoss, shared),
    basis: 'learned',
    readingsFrom: dayStart(days[0]!.date),
    readingsTo: dayStart(days.at(-1)!.date),
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
