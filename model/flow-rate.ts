import { type Course, Walk } from './course.ts';
import type { Trace } from './readings.ts';

/**
 * A flow sensor's readings as the rate while the pump ran.
 *
 * Most boards count pulses and tell their mean over the time since they last looked. Where the pump
 * started within that time, the mean has rest in it, and as it holds until the next reading, a run of
 * two minutes that is read each minute would lose almost half its water. Whether a board tells means
 * is not asked: what it read is the least that the rate can have been, the reading made good for the
 * rest in it is the most, and the next one, made good likewise, tells where between them. What is
 * still told after the pump stopped can be nothing but a mean.
 *
 * @param pump  1 or 0; where it is not known the pump may have run, and nothing is made good
 * @param changes  when the pump's state changed, in the order of time [ms]
 * @param longestGapMs  readings that span more than half of this are not held against each other
 * @param most  greatest flow that can be [l/min]
 */
export function whileRunning(
  flow: Trace,
  pump: Course,
  changes: Float64Array,
  longestGapMs: number,
  most: number,
): Trace {
  const { t, v } = flow;
  const made = Float64Array.from(v);
  const last = t.length - 1;
  const nearMs = longestGapMs / 2; // together with the next but one no more than the gap
  const lookedAt = { pump, nearMs, flow };
  let change = 0;
  for (let i = 1; i < last; i++) {
    while (change < changes.length && changes[change]! <= t[i - 1]!) change++;
    if (change === changes.length) break;
    if (changes[change]! > t[i]! || t[i + 1]! - t[i - 1]! > nearMs) continue;
    const read = v[i]!;
    const rests = isResting(pump, t[i]!);
    // Read at the very moment of a start, it tells nothing of the run, and the next tells all.
    const full = madeGood(lookedAt, i) ?? (rests ? read : Number.POSITIVE_INFINITY);
    const next = rests ? full : (madeGood(lookedAt, i + 1) ?? read);
    if (full > read) made[i] = Math.min(Math.max(read, Math.min(next, full)), Math.max(read, most));
  }
  return { t, v: made };
}

interface Looked {
  pump: Course;
  nearMs: number;
  flow: Trace;
}

/**
 * The rate while the pump ran if a reading is a mean [l/min]; null where the pump rested all the time.
 * A mean reaches back no further than the shorter way to its neighbours: a board that tells changes
 * alone may have been silent long before, but a mean with rest in it is followed by another value.
 */
function madeGood({ pump, nearMs, flow: { t, v } }: Looked, i: number): number | null {
  const before = t[i]! - t[i - 1]!;
  const after = (t[i + 1] ?? Number.POSITIVE_INFINITY) - t[i]!;
  const meanMs = after <= nearMs ? Math.min(before, after) : before;
  const onMs = lengthOf(spansNotResting(pump, t[i]! - meanMs, t[i]!));
  return onMs > 0 ? (v[i]! * meanMs) / onMs : null;
}

function isResting(pump: Course, t: number): boolean {
  const piece = new Walk(pump, t).at(t);
  return piece >= 0 && pump.v0[piece] === 0;
}

export interface Span {
  from: number;
  to: number;
}

export const lengthOf = (spans: readonly Span[]): number =>
  spans.reduce((sum, span) => sum + span.to - span.from, 0);

/** The parts of a span in which the pump ran or may have run. */
export function spansNotResting(pump: Course, from: number, to: number): Span[] {
  const spans: Span[] = [];
  const walk = new Walk(pump, from);
  for (let at = from; at < to; ) {
    const piece = walk.at(at);
    const end = Math.min(to, walk.next(at));
    if (piece < 0 || pump.v0[piece]! > 0) {
      const last = spans.at(-1);
      if (last?.to === at) last.to = end;
      else spans.push({ from: at, to: end });
    }
    at = end;
  }
  return spans;
}
