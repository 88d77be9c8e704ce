import { type Course, changesOf, heldCourse, overlaid, Walk } from './course.ts';
import { lengthOf, type Span, spansNotResting, whileRunning } from './flow-rate.ts';
import { emptyTrace, MINUTE, type Traces } from './readings.ts';
import { longestGapMs, type TubSettings } from './tub-settings.ts';

/** The pump's state over time, as far as it is known. */
export interface PumpCourse {
  /** 1 running, 0 resting. */
  course: Course;
  /** When it changed; no value runs evenly across these. */
  changes: Float64Array;
}

/** Below this share of its usual power a pump that has no state point of its own is taken to rest. */
const RESTING_SHARE = 0.3;
const MOST_L_PER_MIN = 12; // what a pump of this size can move at the most

/**
 * Whether the pump ran: from `pump/running` where it is heard, else from its power. Where neither is
 * heard nothing is known of it, and the changes are those of the flow between none and some.
 */
export function pumpCourse(traces: Traces, settings: TubSettings): PumpCourse {
  const gap = (point: string) => longestGapMs(settings, point);
  const isTold = settings.pump.stateIs !== 'none';
  const told = (isTold && traces.get('pump/running')) || emptyTrace;
  const power = traces.get('pump/power') ?? emptyTrace;
  const least = Math.max(0.5, RESTING_SHARE * settings.pump.watts);
  const drawing = { t: power.t, v: power.v.map((watts) => (watts > least ? 1 : 0)) };
  const flow = traces.get('pump/flow') ?? emptyTrace;

  const byState = heldCourse(told, gap('pump/running'));
  const course = overlaid(byState, heldCourse(drawing, gap('pump/power')));
  const changes = [
    ...changesOf(told, gap('pump/running')),
    ...unknownIn(byState, changesOf(drawing, gap('pump/power'))),
    ...unknownIn(course, changesOf(flow, gap('pump/flow'))),
  ];
  return { course, changes: Float64Array.from(changes).sort() };
}

/** Those of some instants at which a course does not tell what was so just before. */
const unknownIn = (course: Course, instants: Float64Array): Float64Array =>
  instants.filter((t) => new Walk(course, t - 1).at(t - 1) < 0);

/**
 * How fast water went round [l/min]: from the volume counter where there is one, and where that is
 * silent from the flow rate.
 */
export interface FlowCourse {
  volume: Course;
  rate: Course;
}

export function flowCourse(traces: Traces, pump: PumpCourse, settings: TubSettings): FlowCourse {
  const gapMs = longestGapMs(settings, 'pump/flow');
  // Once the owner has confirmed flow while the pump rests, no time is known to be without.
  const mayRest = settings.owner.flowConfirmed ? heldCourse(emptyTrace, gapMs) : pump.course;
  const told = traces.get('pump/flow') ?? emptyTrace;
  const rate = whileRunning(told, mayRest, pump.changes, gapMs, mostLPerMin(settings));
  return {
    volume: volumeCourse(traces, mayRest, settings),
    rate: heldCourse(rate, gapMs, pump.changes),
  };
}

const mostLPerMin = ({ loop }: TubSettings): number =>
  Math.max(MOST_L_PER_MIN, 2 * loop.flowLPerMin);

/**
 * A counter's steps as rates over the time in which the pump was not known to rest. A step back is a
 * reset and tells nothing; nor does a step that no such pump could make since the counter last rose.
 */
function volumeCourse(traces: Traces, pump: Course, settings: TubSettings): Course {
  const { t, v } = traces.get('pump/volume') ?? emptyTrace;
  const gapMs = longestGapMs(settings, 'pump/volume');
  const most = mostLPerMin(settings);
  const from: number[] = [];
  const to: number[] = [];
  const rate: number[] = [];
  // When the counter last rose, as far as it was heard without too long a gap: what lies further back
  // must not count, or the result would hang on how far back readings are at hand.
  let rose = t[0] ?? 0;
  for (let i = 1; i < t.length; i++) {
    const [a, b] = [t[i - 1]!, t[i]!];
    const litres = v[i]! - v[i - 1]!;
    if (b - a <= gapMs && litres >= 0) {
      const spans = spansNotResting(pump, a, b);
      if (spans.length === 0) push(a, b, 0);
      else if (possible(litres, a, b)) fill(a, b, spans, (litres * MINUTE) / lengthOf(spans));
    }
    if (litres !== 0 || b - a > gapMs) rose = b;
  }

  function possible(litres: number, a: number, b: number): boolean {
    const since = Math.min(a, Math.max(rose, b - gapMs));
    return litres <= (most * lengthOf(spansNotResting(pump, since, b))) / MINUTE;
  }
  function push(start: number, end: number, lPerMin: number): void {
    if (start >= end) return;
    from.push(start);
    to.push(end);
    rate.push(lPerMin);
  }
  function fill(a: number, b: number, spans: Span[], lPerMin: number): void {
    let at = a;
    for (const span of spans) {
      push(at, span.from, 0);
      push(span.from, span.to, lPerMin);
      at = span.to;
    }
    push(at, b, 0);
  }
  const values = Float64Array.from(rate);
  return {
    from: Float64Array.from(from),
    to: Float64Array.from(to),
    v0: values,
    v1: values,
    length: values.length,
  };
}
