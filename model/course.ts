import { lastAtOrBefore, MINUTE, type Trace } from './readings.ts';

/**
 * How a point's value ran between its readings: pieces in the order of time, each linear from
 * `v0` at `from` to `v1` at `to`; where there is no piece the value is not known.
 */
export interface Course {
  from: Float64Array; // ms since 1970-01-01 UTC
  to: Float64Array;
  v0: Float64Array;
  v1: Float64Array;
  length: number;
}

/** How long after a pump change the first reading may come and still tell what it was right after. */
const CARRIED_BACK_MS = MINUTE;

class Pieces implements Course {
  from: Float64Array;
  to: Float64Array;
  v0: Float64Array;
  v1: Float64Array;
  length = 0;

  constructor(room: number) {
    this.from = new Float64Array(room);
    this.to = new Float64Array(room);
    this.v0 = new Float64Array(room);
    this.v1 = new Float64Array(room);
  }

  add(from: number, to: number, v0: number, v1: number): void {
    if (from >= to) return;
    const i = this.length++;
    this.from[i] = from;
    this.to[i] = to;
    this.v0[i] = v0;
    this.v1[i] = v1;
  }
}

/**
 * The course of a value that runs evenly from one reading to the next, such as a temperature.
 *
 * Nothing is drawn across a gap longer than `longestGapMs`, nor beyond the newest reading, nor
 * across a pump change: the old value holds until the change, and the first reading after it,
 * within 60 s, is carried back to it. Otherwise a cold pipe that warms between two readings would
 * bring heat at every start that was never there.
 */
export function evenCourse(
  { t, v }: Trace,
  longestGapMs: number,
  pumpChanges: Float64Array,
): Course {
  const pieces = new Pieces(2 * t.length + 2);
  let change = 0; // first change after the reading before
  for (let i = 1; i < t.length; i++) {
    const [a, b] = [t[i - 1]!, t[i]!];
    const [va, vb] = [v[i - 1]!, v[i]!];
    while (change < pumpChanges.length && pumpChanges[change]! <= a) change++;
    const first = pumpChanges[change];
    if (b - a > longestGapMs) continue;
    if (first === undefined || first > b) pieces.add(a, b, va, vb);
    else {
      pieces.add(a, first, va, va);
      pieces.add(carriedBackTo(pumpChanges, change, b), b, vb, vb);
    }
  }
  return pieces;
}

/**
 * The course of a value that holds from one reading until the next, such as a flow rate or a
 * switch; at most `longestGapMs` long. Pump changes count as in `evenCourse`.
 */
export function heldCourse(
  { t, v }: Trace,
  longestGapMs: number,
  pumpChanges: Float64Array = new Float64Array(0),
): Course {
  const pieces = new Pieces(2 * t.length + 2);
  let change = 0;
  for (let i = 0; i < t.length; i++) {
    const a = t[i]!;
    const next = t[i + 1] ?? Number.POSITIVE_INFINITY;
    const known = Math.min(next, a + longestGapMs);
    while (change < pumpChanges.length && pumpChanges[change]! <= a) change++;
    const first = pumpChanges[change];
    if (first === undefined || first > known) pieces.add(a, known, v[i]!, v[i]!);
    else {
      pieces.add(a, first, v[i]!, v[i]!);
      if (first <= next && i + 1 < t.length) {
        pieces.add(carriedBackTo(pumpChanges, change, next), next, v[i + 1]!, v[i + 1]!);
      }
    }
  }
  return pieces;
}

/** The earliest of the changes from `index` on that lies at most 60 s before the reading at `t`. */
function carriedBackTo(changes: Float64Array, index: number, t: number): number {
  for (let i = index; i < changes.length && changes[i]! <= t; i++) {
    if (t - changes[i]! <= CARRIED_BACK_MS) return changes[i]!;
  }
  return t;
}

/** A held course, and where it does not tell, another one. */
export function overlaid(first: Course, second: Course): Course {
  if (second.length === 0) return first;
  const pieces = new Pieces(2 * (first.length + second.length) + 1);
  const other = new Walk(second, second.from[0]!);
  const fill = (from: number, to: number) => {
    for (let at = Math.max(from, second.from[0]!); at < to; ) {
      const piece = other.at(at);
      const end = Math.min(to, other.next(at));
      if (piece >= 0) pieces.add(at, end, second.v0[piece]!, second.v1[piece]!);
      at = end;
    }
  };
  let at = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < first.length; i++) {
    fill(at, first.from[i]!);
    pieces.add(first.from[i]!, first.to[i]!, first.v0[i]!, first.v1[i]!);
    at = first.to[i]!;
  }
  fill(at, second.to[second.length - 1]!);
  return pieces;
}

/** Times at which a held value turned from zero to above zero or back, while it was known. */
export function changesOf({ t, v }: Trace, longestGapMs: number): Float64Array {
  const changes: number[] = [];
  for (let i = 1; i < t.length; i++) {
    const turned = v[i]! > 0 !== v[i - 1]! > 0;
    if (turned && t[i]! - t[i - 1]! <= longestGapMs) changes.push(t[i]!);
  }
  return Float64Array.from(changes);
}

/** A walk along a course: `at(t)` for rising t finds the piece that holds t, or −1. */
export class Walk {
  private readonly course: Course;
  private i: number;

  constructor(course: Course, from: number) {
    this.course = course;
    this.i = Math.max(0, lastAtOrBefore(course.from.subarray(0, course.length), from));
  }

  /** Index of the piece with from ≤ t < to, or −1. */
  at(t: number): number {
    const { course } = this;
    while (this.i < course.length && course.to[this.i]! <= t) this.i++;
    return this.i < course.length && course.from[this.i]! <= t ? this.i : -1;
  }

  /** The next time after t at which the piece ends or one begins. */
  next(t: number): number {
    const { course } = this;
    if (this.i >= course.length) return Number.POSITIVE_INFINITY;
    return course.from[this.i]! > t ? course.from[this.i]! : course.to[this.i]!;
  }

  value(index: number, t: number): number {
    const { from, to, v0, v1 } = this.course;
    const share = (t - from[index]!) / (to[index]! - from[index]!);
    return v0[index]! + (v1[index]! - v0[index]!) * share;
  }
}
