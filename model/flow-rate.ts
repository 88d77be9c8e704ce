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
    const own = whole(lookedAt, i);
    const full =
      own.onMs > 0 ? (read * own.ms) / own.onMs : rests ? read : Number.POSITIVE_INFINITY;
    const next = rests ? full : nextRate(lookedAt, i, own);
    if (full > read) made[i] = Math.min(Math.max(read, Math.min(next, full)), Math.max(read, most));
  }
  return { t, v: made };
}

interface Looked {
  pump: Course;
  nearMs: number;
  flow: Trace;
}

/** What a mean is over, and for how much of it the pump may have run [ms]. */
interface Whole {
  ms: number;
  onMs: number;
}

/**
 * A mean reaches back no further than the shorter way to its neighbours: a board that tells changes
 * alone may have been silent long before, but a mean with rest in it is followed by another value.
 */
function whole({ pump, nearMs, flow: { t } }: Looked, i: number): Whole {
  const before = t[i]! - t[i - 1]!;
  const after = (t[i + 1] ?? Number.POSITIVE_INFINITY) - t[i]!;
  const ms = after <= nearMs ? Math.min(before, after) : before;
  return { ms, onMs: lengthOf(spansNotResting(pump, t[i]! - ms, t[i]!)) };
}

/** The rate in a run that reading i is the first of, as the one after it tells [l/min]. */
function nextRate(lookedAt: Looked, i: number, own: Whole): number {
  const { t, v } = lookedAt.flow;
  const [read, next] = [v[i]!, v[i + 1]!];
  const { ms, onMs } = whole(lookedAt, i + 1);
  if (onMs === 0) return read;
  if (onMs === ms || !isResting(lookedAt.pump, t[i + 1]!)) return (next * ms) / onMs;
  // Both are means of one short run: its water is told better than the rate in a part of it.
  return next > 0 ? (read * own.ms + next * ms) / (own.onMs + onMs) : read;
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
