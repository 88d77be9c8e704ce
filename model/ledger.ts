import { type Course, evenCourse, heldCourse, Walk } from './course.ts';
import { flowCourse, pumpCourse } from './flow.ts';
import { type MeteredHeat, type MeteredInputs, metered } from './metered-heat.ts';
import {
  backupCourse,
  type Observed,
  type ObservedInputs,
  observed,
  PUMP_LOOKBACK_MS,
} from './observed.ts';
import { pointType } from './points.ts';
import { emptyTrace, firstAtOrAfter, HOUR, QUARTER, type Trace, type Traces } from './readings.ts';
import type { Basis } from './shapes.ts';
import {
  longestGapMs,
  type SettingsVersion,
  type TubSettings,
  versionsWithin,
} from './tub-settings.ts';
import { usable } from './usable.ts';

/**
 * One quarter hour of the ledger: what readings alone tell of it. Energies kWh; unknown is null, and
 * a span [ms] says for how much of the quarter something was known.
 */
export interface Quarter extends MeteredHeat, Observed {
  /** Start, aligned to UTC [ms since 1970-01-01 UTC]. */
  from: number;
  pumpOnMs: number;
  /** Milliseconds during which it was known whether the pump ran. */
  pumpKnownMs: number;
  /** Electricity of the pump itself; null where nothing was known of it. */
  pumpKwh: number | null;
  tubC: number | null;
  tubLowC: number | null;
  tubHighC: number | null;
}

/** The points that the ledger needs; every other point may change without changing it. */
export const ledgerPoints: readonly string[] = [
  'tub/temperature',
  'collector/inlet',
  'collector/outlet',
  'pump/running',
  'pump/power',
  'pump/flow',
  'pump/volume',
  'outdoor/temperature',
  'collector/temperature',
  'collector/irradiance',
  'tub/cover',
  'backup/power',
  'backup/energy',
  'filter/running',
];

/** Points that tell what a pipe was left with when the pump last stopped. */
const lookedBackAt = ['pump/running', 'pump/power', 'pump/flow', 'collector/temperature'];

/**
 * How far around a span readings must be at hand so that its quarters come out the same however the
 * work is cut: all readings within `beforeMs(point)` before it and `afterMs` after it, and for each
 * switch the nearest before these, within `nearestMs(point)`.
 */
export interface Reach {
  beforeMs(point: string): number;
  afterMs: number;
  nearestMs(point: string): number;
}

export function reach(settings: TubSettings, points: readonly string[] = ledgerPoints): Reach {
  const gaps = points.filter((point) => pointType(point)?.kind !== 'flag');
  const afterMs = 2 * Math.max(HOUR / 6, ...gaps.map((point) => longestGapMs(settings, point)));
  return {
    beforeMs: (point) => (lookedBackAt.includes(point) ? afterMs + PUMP_LOOKBACK_MS : afterMs),
    afterMs,
    nearestMs: (point) => (pointType(point)?.kind === 'flag' ? longestGapMs(settings, point) : 0),
  };
}

/**
 * The span in which ledger quarters may change when readings of a point between `from` and `to` did;
 * null for a point that the ledger does not use. It may be wider than what does change.
 */
export function touched(
  settings: TubSettings,
  points: readonly string[],
  { point, from, to }: { point: string; from: number; to: number },
): { from: number; to: number } | null {
  if (!ledgerPoints.includes(point)) return null;
  const gapMs = longestGapMs(settings, point);
  // A temperature changes its own course alone; what tells of the pump changes those of all others.
  const aroundMs =
    pointType(point)?.kind === 'temperature' ? gapMs : reach(settings, points).afterMs / 2;
  const laterMs = lookedBackAt.includes(point) ? PUMP_LOOKBACK_MS : 0;
  return { from: from - aroundMs, to: to + gapMs + aroundMs + laterMs };
}

/**
 * Works out the ledger of the quarters from `from` to before `to` (both aligned). The result depends
 * on the readings alone: not on the order in which they came, nor on how the work was cut.
 *
 * @param versions  the tub's set-up over time, first one first
 * @param traces  readings of `ledgerPoints` at least as far around the span as `reach` says
 * @param newest  time of the tub's newest reading of any of `ledgerPoints`: beyond it nothing counts,
 *   or a pump that was switched on a minute ago would have run for as long as its state may hold
 */
export function workOut(
  versions: readonly SettingsVersion[],
  traces: Traces,
  from: number,
  to: number,
  newest: number,
): Quarter[] {
  const quarters: Quarter[] = [];
  let inputs: Inputs | undefined;
  for (const part of versionsWithin(versions, from, to)) {
    inputs = preparedAgain(traces, part.settings, inputs);
    for (let q = Math.floor(part.from / QUARTER) * QUARTER; q < part.to; q += QUARTER) {
      const span = { from: Math.max(q, part.from), to: Math.min(q + QUARTER, part.to) };
      const quarter = workOutPart(inputs, span, newest, q);
      const open = quarters.at(-1);
      if (open?.from === q) quarters[quarters.length - 1] = joined(open, quarter);
      else quarters.push(quarter);
    }
  }
  return quarters.filter(heard);
}

interface Inputs extends MeteredInputs, ObservedInputs {
  power: Course;
  tub: Trace;
}

/** Inputs under other settings; as far as these bear on no course, those that were prepared before. */
function preparedAgain(traces: Traces, settings: TubSettings, before?: Inputs): Inputs {
  const isSame = before !== undefined && haveSameCourses(before.settings, settings);
  return isSame ? { ...before, settings } : prepare(traces, settings);
}

/** Whether settings differ in nothing but what the owner told of other things. */
function haveSameCourses(a: TubSettings, b: TubSettings): boolean {
  const keys = Object.keys(a) as (keyof TubSettings)[];
  return (
    keys.every((key) => key === 'owner' || a[key] === b[key]) &&
    a.owner.drained === b.owner.drained &&
    a.owner.flowConfirmed === b.owner.flowConfirmed
  );
}

/** Readings as courses in time, as they are worked with. */
export function prepare(traces: Traces, settings: TubSettings): Inputs {
  const used = new Map(
    ledgerPoints.map((point) => [point, usable(traces.get(point) ?? emptyTrace, point, settings)]),
  );
  // A sensor that hangs in a drained tub tells of no water.
  if (settings.owner.drained) used.set('tub/temperature', emptyTrace);
  const pump = pumpCourse(used, settings);
  const even = (point: string) =>
    evenCourse(used.get(point)!, longestGapMs(settings, point), pump.changes);
  const held = (point: string) => heldCourse(used.get(point)!, longestGapMs(settings, point));
  return {
    settings,
    inlet: even('collector/inlet'),
    outlet: even('collector/outlet'),
    air: held('outdoor/temperature'),
    flow: flowCourse(used, pump, settings),
    pump: pump.course,
    pumpChanges: pump.changes,
    power: held('pump/power'),
    tub: used.get('tub/temperature')!,
    tubCourse: even('tub/temperature'),
    collector: even('collector/temperature'),
    sun: held('collector/irradiance'),
    cover: held('tub/cover'),
    backup: backupCourse(used, settings),
    filter: held('filter/running'),
  };
}

function workOutPart(
  inputs: Inputs,
  { from, to }: { from: number; to: number },
  newest: number,
  quarter: number,
): Quarter {
  const known = Math.max(from, Math.min(to, newest));
  return {
    from: quarter,
    ...metered(inputs, from, known),
    ...observed(inputs, from, known),
    ...pumped(inputs, from, known),
    ...tubWater(inputs.tub, from, to),
  };
}

const KWH_PER_W_MS = 1 / 3.6e9;

/** How long the pump ran, and on what; from its state, or where that is unknown from the flow. */
function pumped(inputs: Inputs, from: number, to: number) {
  const pump = new Walk(inputs.pump, from);
  const volume = new Walk(inputs.flow.volume, from);
  const rate = new Walk(inputs.flow.rate, from);
  const power = new Walk(inputs.power, from);
  let [pumpOnMs, pumpKnownMs, wattMs] = [0, 0, 0];
  for (let at = from; at < to; ) {
    const state = pump.at(at);
    const counted = volume.at(at);
    const flowing = rate.at(at);
    const drawing = power.at(at);
    const end = Math.min(to, pump.next(at), volume.next(at), rate.next(at), power.next(at));
    const on =
      state >= 0
        ? inputs.pump.v0[state]! > 0
        : counted >= 0
          ? inputs.flow.volume.v0[counted]! > 0
          : flowing >= 0
            ? inputs.flow.rate.v0[flowing]! > 0
            : null;
    if (on !== null) pumpKnownMs += end - at;
    if (on) pumpOnMs += end - at;
    const watts = drawing >= 0 ? inputs.power.v0[drawing]! : on ? inputs.settings.pump.watts : 0;
    wattMs += watts * (end - at);
    at = end;
  }
  const known = pumpKnownMs > 0 || wattMs > 0;
  const own = inputs.settings.pump.supply === 'own-panel';
  return { pumpOnMs, pumpKnownMs, pumpKwh: known ? (own ? 0 : wattMs * KWH_PER_W_MS) : null };
}

/** Mean, lowest and highest of the tub's readings within a span. */
function tubWater({ t, v }: Trace, from: number, to: number) {
  let [count, sum, low, high] = [0, 0, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = firstAtOrAfter(t, from); i < t.length && t[i]! < to; i++) {
    count++;
    sum += v[i]!;
    low = Math.min(low, v[i]!);
    high = Math.max(high, v[i]!);
  }
  if (count === 0) return { tubC: null, tubLowC: null, tubHighC: null };
  return { tubC: sum / count, tubLowC: low, tubHighC: high };
}

/** A quarter in which nothing at all was heard leaves no row. */
const heard = (quarter: Quarter): boolean =>
  quarter.coveredMs > 0 ||
  quarter.pumpKnownMs > 0 ||
  quarter.tubC !== null ||
  quarter.litres !== null;

/** Sum of two known amounts; where one is unknown, the other. */
export const plus = (a: number | null, b: number | null): number | null =>
  a === null ? b : b === null ? a : a + b;

/** What two spans together rest on. */
export const bothBases = (a: Basis, b: Basis): Basis =>
  a === null ? b : b === null || a === b ? a : 'mixed';

const extreme = (pick: (a: number, b: number) => number, a: number | null, b: number | null) =>
  a === null ? b : b === null ? a : pick(a, b);

/** The two parts of a quarter in which the set-up changed. */
function joined(a: Quarter, b: Quarter): Quarter {
  const tubShare = a.tubC === null ? 0 : b.tubC === null ? 1 : 0.5;
  return {
    ...sums(a, b),
    from: a.from,
    basis: bothBases(a.basis, b.basis),
    tubC: plus(scaled(a.tubC, tubShare), scaled(b.tubC, 1 - tubShare)),
    tubLowC: extreme(Math.min, a.tubLowC, b.tubLowC),
    tubHighC: extreme(Math.max, a.tubHighC, b.tubHighC),
    collectorC: b.collectorC ?? a.collectorC,
    airC: b.airC ?? a.airC,
  };
}

const scaled = (value: number | null, share: number): number | null =>
  value === null || share === 0 ? null : value * share;

/** Everything that adds up from one part of a span to the next. */
function sums(a: Quarter, b: Quarter) {
  const added = { ...a };
  for (const key of addedUp) {
    const [x, y] = [a[key], b[key]];
    Object.assign(added, { [key]: plus(x, y) });
  }
  return added;
}

const addedUp = [
  'gainKwh',
  'lostKwh',
  'measuredKwh',
  'coveredMs',
  'flowUncertaintyKwh',
  'pairUncertaintyKwh',
  'lossUncertaintyKwh',
  'litres',
  'pumpOnMs',
  'pumpKnownMs',
  'pumpKwh',
  'driveKwhMinPerL',
  'driveMs',
  'standingKwhPerL',
  'sunKwhPerM2',
  'backupKwh',
  'coverOpenMs',
  'filterOnMs',
] as const satisfies readonly (keyof Quarter)[];
