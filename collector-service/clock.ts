/** The one source of the present; nothing else in the program reads the system's time. */
export interface Clock {
  /** ms since 1970-01-01 UTC */
  now(): number;
}

export const systemClock: Clock = { now: () => Date.now() };
