import { isTubName, pointType } from '../../model/points.ts';
import { MINUTE, type Reading } from '../../model/readings.ts';
import type { Refusal, Told } from './payload-form.ts';

/** How far a time may lie ahead of the service's clock [ms]. */
const MOST_AHEAD = 5 * MINUTE;

/** Most tubs that are heard without a set-up. */
export const MOST_TUBS_WITHOUT_SETUP = 50;

/** Times outside the years 0 to 9999 have no ISO 8601 form of four digits to be shown in. */
const FIRST_TIME = Date.parse('0000-01-01T00:00:00Z');
const LAST_TIME = Date.parse('9999-12-31T23:59:59.999Z');

export const refusals = {
  tub: { why: 'a tub is named by 1 to 32 of a-z, 0-9 and -, but not "service"' },
  point: { why: 'unknown point' },
  value: { why: 'the value is not a finite number' },
  flag: { why: 'the point is one of 0 and 1 alone' },
  ahead: { why: 'the time is more than 5 minutes ahead of the clock' },
  time: { why: 'the time is outside the years 0 to 9999' },
  timeUnknown: { why: 'time unknown' },
  clock: { why: 'the clock of the service is wrong' },
  tubs: { why: `there are ${MOST_TUBS_WITHOUT_SETUP} tubs without a set-up already` },
} satisfies Record<string, Refusal>;

/** What holds for everything that one message, or one file, brings. */
export interface Admission {
  /** Greatest time that is not ahead of the clock [ms]; Infinity where nothing can be. */
  latest: number;
  /** Why what has no time of its own cannot be stamped on arrival, or null where it can. */
  unstamped: Refusal | null;
  tubs: TubsHeard;
}

/** The admission of what arrives now, by a clock that is right or plainly wrong. */
export function admissionAt(
  arrival: number,
  clockWrong: boolean,
  waited: boolean,
  tubs: TubsHeard,
): Admission {
  const unstamped = waited ? refusals.timeUnknown : clockWrong ? refusals.clock : null;
  // A wrong clock cannot tell what is ahead of it.
  return { latest: clockWrong ? Infinity : arrival + MOST_AHEAD, unstamped, tubs };
}

/** The one door to the store: for MQTT of every form, for CSV rows and for imports. */
export function admit(told: Told, at: Admission): Reading | Refusal {
  const { tub, point, value, t, ownTime } = told;
  const fault = valueFault(tub, point, value);
  if (fault !== null) return fault;
  if (!ownTime && at.unstamped !== null) return at.unstamped;
  if (!(t >= FIRST_TIME && t <= LAST_TIME)) return refusals.time;
  if (t > at.latest) return refusals.ahead;
  if (!at.tubs.admits(tub)) return refusals.tubs;
  return { tub, point, t: Math.round(t), value: value + 0 }; // −0 is kept as 0
}

/** What is wrong with a value whenever it was so. */
export function valueFault(tub: string, point: string, value: number): Refusal | null {
  if (!isTubName(tub)) return refusals.tub;
  const type = pointType(point);
  if (type === null) return refusals.point;
  if (!Number.isFinite(value)) return refusals.value;
  return type.kind === 'flag' && value !== 0 && value !== 1 ? refusals.flag : null;
}

/** The tubs whose readings are taken: those with a set-up, and the first 50 others. */
export class TubsHeard {
  private setUp: ReadonlySet<string> = new Set();
  private readonly others = new Set<string>();

  constructor(setUp: Iterable<string>, heard: Iterable<string>) {
    for (const tub of heard) this.others.add(tub);
    this.setUpAre(setUp);
  }

  setUpAre(tubs: Iterable<string>): void {
    // One whose set-up was taken away goes on as a tub without one.
    for (const tub of this.setUp) this.others.add(tub);
    this.setUp = new Set(tubs);
    for (const tub of this.setUp) this.others.delete(tub);
  }

  /** Whether a reading of this tub is taken; the first makes the tub. */
  admits(tub: string): boolean {
    if (this.setUp.has(tub) || this.others.has(tub)) return true;
    if (this.others.size >= MOST_TUBS_WITHOUT_SETUP) return false;
    this.others.add(tub);
    return true;
  }

  forget(tub: string): void {
    this.others.delete(tub);
  }
}
