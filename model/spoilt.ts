import type { AlertRecord } from './alerts/alert-life.ts';
import type { Span } from './civil-time.ts';
import { toldHeat } from './estimate.ts';
import type { Learned } from './learned.ts';
import type { Quarter } from './ledger.ts';
import { QUARTER, quarterOf } from './readings.ts';
import type { FaultId } from './rules/fault-id.ts';

/**
 * Faults that spoil what useful and saved are reckoned from, so that nothing of their time is counted:
 * the tub's temperature, and whatever its heat is worked out from. Heat itself stays as it was measured.
 *
 * Not among them are faults whose error the told doubt is made for, or which the ledger leaves out by
 * itself: a pair that strays, a flow meter that drifts, single readings that jump.
 */

/** A span that a fault spoils, in whole quarter hours. Plain data. */
export interface Spoilt extends Span {
  fault: FaultId;
  point: string | null;
}

/** What a fault spoils: all, or heat that is worked out in one way alone. */
type Spoils = 'all' | 'measured' | 'estimated';

const POINTS: Record<string, { spoils: Spoils; name: string }> = {
  'tub/temperature': { spoils: 'all', name: 'the tub’s sensor' },
  'collector/inlet': { spoils: 'measured', name: 'the sensor at the inlet' },
  'collector/outlet': { spoils: 'measured', name: 'the sensor at the outlet' },
  'pump/flow': { spoils: 'measured', name: 'the flow meter' },
  'pump/volume': { spoils: 'measured', name: 'the flow meter' },
  'collector/temperature': { spoils: 'estimated', name: 'the collectors’ sensor' },
};

const FAULTS: Partial<Record<FaultId, { spoils: Spoils; why: string }>> = {
  'to-and-from-swapped': { spoils: 'all', why: 'two sensors had each other’s place' },
  'tub-sensor-out-of-water': { spoils: 'all', why: 'the tub’s sensor was out of the water' },
  'flow-too-high': { spoils: 'measured', why: 'the flow meter told too much' },
  'flow-sensor-at-zero': { spoils: 'measured', why: 'the flow meter told no flow' },
  'flow-while-off': { spoils: 'measured', why: 'the flow meter told a flow at rest' },
  'running-without-flow': { spoils: 'estimated', why: 'the pump moved no water' },
  'collector-sensor-loose': { spoils: 'estimated', why: 'the collectors’ sensor was loose' },
};

/** Faults of a sensor, each about its point. */
const SENSOR_FAULTS: Partial<Record<FaultId, string>> = {
  'frozen-reading': 'stood still',
  'sensor-open': 'had a broken wire',
  'sensor-short': 'had a short circuit',
};

interface Spoiling {
  spoils: Spoils;
  why: string;
}

function spoiling(fault: FaultId, point: string | null): Spoiling | null {
  const did = SENSOR_FAULTS[fault];
  if (did === undefined) return FAULTS[fault] ?? null;
  if (point === null) return { spoils: 'all', why: `the sensors ${did}` };
  const about = POINTS[point];
  return about ? { spoils: about.spoils, why: `${about.name} ${did}` } : null;
}

/** Whether a fault, about a point where it is about one, puts in doubt what was saved. */
export const canSpoil = (fault: FaultId, point: string | null): boolean =>
  spoiling(fault, point) !== null;

/** Why the time of a fault is not counted, in words. */
export const whySpoilt = ({ fault, point }: Spoilt): string => spoiling(fault, point)!.why;

/** Sensors of a board that stood still together are told of one of them, and stood for by none. */
const pointOf = ({ point, evidence }: Told): string | null =>
  Number(evidence.together ?? 1) > 1 ? null : point;

type Told = Pick<AlertRecord, 'fault' | 'point' | 'since' | 'until' | 'evidence'> & {
  /** When somebody said that it is no fault. */
  dismissedAt?: number | null;
};

/** Whether an alert does, and nobody said that it is no fault. */
export const isSpoiling = (alert: Told): boolean =>
  canSpoil(alert.fault, pointOf(alert)) && (alert.dismissedAt ?? null) === null;

/** What alerts spoil, in order; one that still stands does so without an end. */
export const spoiltBy = (alerts: readonly Told[]): Spoilt[] =>
  alerts
    .filter(isSpoiling)
    .map((alert) => ({
      from: quarterOf(alert.since),
      to: alert.until === null ? Number.MAX_SAFE_INTEGER : quarterOf(alert.until) + QUARTER,
      fault: alert.fault,
      point: pointOf(alert),
    }))
    .sort((a, b) => a.from - b.from || a.to - b.to || (a.fault < b.fault ? -1 : 1));

/** The parts of what is spoilt that lie in a span. */
export const spoiltWithin = (all: readonly Spoilt[], span: Span): Spoilt[] =>
  all
    .filter(({ from, to }) => from < span.to && to > span.from)
    .map((each) => ({
      ...each,
      from: Math.max(each.from, span.from),
      to: Math.min(each.to, span.to),
    }));

/** Of what is spoilt what these quarters' heat rests on: a flow meter spoils no estimate. */
export function spoiltOf(
  quarters: readonly Quarter[],
  learned: Learned,
  spoilt: readonly Spoilt[],
): Spoilt[] {
  return spoilt.filter((span) => {
    const { spoils } = spoiling(span.fault, span.point)!;
    const isSpoilt = (quarter: Quarter) => {
      const { basis } = toldHeat(quarter, learned);
      return isIn(quarter, span) && (basis === spoils || basis === 'mixed');
    };
    return spoils === 'all' || quarters.some(isSpoilt);
  });
}

/** Whether a quarter hour lies in a span of whole ones. */
export const isIn = ({ from }: Quarter, span: Span): boolean => from >= span.from && from < span.to;
