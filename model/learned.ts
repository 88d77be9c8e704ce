import { lossOfNights } from './cool-down.ts';
import { capacityUncertainty, type Evidence, type Run } from './evidence.ts';
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
}

/** How far back and forth around a day its learned values look [days]. */
export const LEARNS_FROM = { before: 21, after: 14 };

/** How far an entered or assumed value may be off, relative, k = 1. */
const ENTERED = { loss: 0.2, flow: 0.3 };
const ASSUMED = { loss: 0.4, flow: 0.3 };
/** An entered flow is the pump's; what reaches the tub by it is less by what the pipes lose. */
const PIPES_SHARE = 0.93;

const LEAST_RUNS = 3;
/** What no run can tell apart: stratification, lag, heat from filter and sun. */
const RUNS_UNCERTAINTY = 0.02;

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
  const runs = evidence.flatMap((day) => day.runs);
  const flows = runs.map((run) => ({
    value: flowOf(run, settings, loss.value),
    weight: run.driveKwhMinPerL,
  }));
  if (flows.length < LEAST_RUNS) {
    const isSaid = settings.said.flowLPerMin;
    const flow = given(settings.loop.flowLPerMin, isSaid, isSaid ? ENTERED.flow : ASSUMED.flow);
    return {
      ...flow,
      value: PIPES_SHARE * flow.value,
      uncertainty: PIPES_SHARE * flow.uncertainty,
    };
  }
  const value = weightedMedian(flows);
  const away = flows.map((flow) => ({ ...flow, value: Math.abs(flow.value - value) }));
  const random = (1.2533 * 1.4826 * weightedMedian(away)) / Math.sqrt(flows.length);
  const drive = sum(runs, (run) => run.driveKwhMinPerL);
  const fromLoss = (sum(runs, (run) => run.lossKh) * loss.uncertainty) / 1000 / drive;
  const fromAir =
    (sum(runs, (run) => hoursOf(run) * run.airUncertaintyK) * loss.value) / 1000 / drive;
  const shared = value * Math.hypot(capacityUncertainty(settings), RUNS_UNCERTAINTY);
  return {
    value,
    uncertainty: Math.hypot(random, fromLoss, fromAir, shared),
    basis: 'learned',
    readingsFrom: Math.min(...runs.map(({ from }) => from)),
    readingsTo: Math.max(...runs.map(({ to }) => to)),
  };
}

/** What the tub gained and lost over a run, by what came at 1 l/min [l/min]. */
export function flowOf(run: Run, settings: TubSettings, lossWPerK: number): number {
  const stored = (tubCapacityWhPerK(settings.tub.litres) * run.riseK) / 1000;
  const lost = (lossWPerK * run.lossKh) / 1000;
  const kept = returnPipeLitres(settings) * run.standingKwhPerL;
  return (stored + lost + kept) / run.driveKwhMinPerL;
}

/** Water in the pipe back to the tub: half the pipe, at an inner diameter of about 14 mm. [l] */
export const returnPipeLitres = ({ loop }: TubSettings): number => (0.16 * loop.pipeMetres) / 2;

const hoursOf = ({ from, to }: Run): number => (to - from) / 3_600_000;

const given = (value: number, isSaid: boolean, relative: number): LearnedValue => ({
  value,
  uncertainty: relative * value,
  basis: isSaid ? 'set-up' : 'assumed',
  readingsFrom: null,
  readingsTo: null,
});

const sum = <T>(items: readonly T[], of: (item: T) => number): number =>
  items.reduce((total, item) => total + of(item), 0);

function weightedMedian(items: readonly { value: number; weight: number }[]): number {
  const sorted = items.toSorted((a, b) => a.value - b.value);
  const half = sum(sorted, ({ weight }) => weight) / 2;
  let before = 0;
  for (const { value, weight } of sorted) {
    before += weight;
    if (before >= half) return value;
  }
  return sorted.at(-1)!.value;
}

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
