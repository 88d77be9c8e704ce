import type { Chance } from '../chance.ts';
import type { House } from '../house.ts';
import type { Trouble } from '../trouble.ts';

/** A fault while it stands. */
export interface Standing {
  /** Days since its start. */
  days: number;
}

/** What a fault that begins may know. */
export interface Beginning {
  house: House;
  chance: Chance;
}

/**
 * Something that can go wrong. `raises` are ids of faults that a good monitor would tell of it, the root
 * first; what strikes certain points says so in `needs`, any one of which is enough.
 */
export interface Fault {
  name: string;
  raises: readonly [string, ...string[]];
  needs?: { points: readonly string[] };
  /** Called once when it begins; what it returns is called for every step, on a trouble that is new. */
  begin(beginning: Beginning): (trouble: Trouble, standing: Standing) => void;
}

/** A fault that needs nothing but to be set. */
export const simple = (
  name: string,
  raises: Fault['raises'],
  inflict: (trouble: Trouble, standing: Standing) => void,
  needs?: Fault['needs'],
): Fault => ({ name, raises, ...(needs ? { needs } : {}), begin: () => inflict });

/** Falls or rises from 1 to `to` within some days, and stays there. */
export const ramp = (days: number, within: number, to: number): number =>
  1 + (to - 1) * Math.min(1, days / within);
