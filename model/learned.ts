import { dayBounds } from './civil-time.ts';
import { capacityUncertainty, type Evidence } from './evidence.ts';
import { heatBalance, LEAST_DRIVE } from './heat-balance.ts';
import { lossLearned } from './loss-learned.ts';
import { returnPipeLitres } from './return-pipe.ts';
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
  /**
   * What stood in the pipe back to the tub and comes home cold at a start, its wall counted in. Negative
   * where starts bring more than their readings tell, such as where many are heard late: the flow was
   * learned beside it, and one without the other tells another heat.
   */
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
const STANDING_UNCERTAINTY = 0.1;
/** What no balance of hours can tell apart: layers in still water, lag, other heat in sunny hours. */
const BALANCE_UNCERTAINTY = 0.03;
/**
 * How well the learned loss tells what a tub lost by day: an air or litres that are off make the nights'
 * loss coefficient wrong, but hardly the heat that it stands for.
 */
const LOST_UNCERTAINTY = 0.03;

/** What is worked with on a day, learned from the evidence of the days around it. */
export function learnedFrom(evidence: readonly Evidence[], settings: TubSettings): Learned {
  const lossWPerK = lossOf(evidence, settings);
  return { lossWPerK, ...flowLearned(evidence, settings, lossWPerK) };
}

function lossOf(evidence: readonly Evidence[], settings: TubSettings): LearnedValue {
  const loss = lossLearned(evidence, settings);
  const isSaid = settings.said.lossWPerK;
  if (!loss) return given(settings.tub.lossWPerK, isSaid, isSaid ? ENTERED.loss : ASSUMED.loss);
  return {
    value: loss.wPerK,
    uncertainty: loss.uncertaintyWPerK,
    basis: 'learned',
    readingsFrom: loss.from,
    readingsTo: loss.to,
  };
}

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
  const running = hours.filter(({ driveKwhMinPerL }) => driveKwhMinPerL > LEAST_DRIVE);
  const drive = sum(running, (hour) => hour.driveKwhMinPerL);
  const lossDoubt = loss.basis === 'learned' ? LOST_UNCERTAINTY * loss.value : loss.uncertainty;
  const fromLoss = (sum(running, (hour) => hour.lossKh) * lossDoubt) / 1000 / drive;
  const shared = value * Math.hypot(capacityUncertainty(settings), BALANCE_UNCERTAINTY);
  const days = evidence.filter((day) => day.hours.length > 0);
  const { timeZone } = settings.place;
  const rests = {
    basis: 'learned' as const,
    readingsFrom: dayBounds(days[0]!.date, timeZone).from,
    readingsTo: dayBounds(days.at(-1)!.date, timeZone).to,
  };
  const uncertainty = Math.hypot(balance.heatUncertainty * value, fromLoss, shared);
  const learned = { value, uncertainty, ...rests };
  return {
    flowLPerMin: measured ? { ...learned, ...together(learned, measured) } : learned,
    standingLitres: {
      value: balance.standingLitres,
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

const given = (value: number, isSaid: boolean, relative: number): LearnedValue => ({
  value,
  uncertainty: relative * value,
  basis: isSaid ? 'set-up' : 'assumed',
  readingsFrom: null,
  readingsTo: null,
});

const sum = <T>(items: readonly T[], of: (item: T) => number): number =>
  items.reduce((total, item) => total + of(item), 0);
