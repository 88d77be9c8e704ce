/** Two sensors in one cup of stirred water: when they have come to rest, and how far apart they read. */

/** What both read at about the same time; `at` in ms, temperatures in °C. */
export interface CupSample {
  at: number;
  firstC: number;
  secondC: number;
}

export type CupState =
  /** Too few readings, or over too short a time. */
  | { state: 'waiting' }
  /** One of them still warms or cools in another way than the other. */
  | { state: 'moving' }
  /** So far apart that they cannot be in the same cup, or one is broken. */
  | { state: 'too-far'; differenceK: number }
  /** How much more the second reads than the first. */
  | { state: 'settled'; differenceK: number; spreadK: number };

const LOOKS_BACK = 240_000; // ms
const LEAST_SPAN = 60_000; // ms
const LEAST_SAMPLES = 4;
/** Two steps of a sensor that reads sixteenths of a degree, and a little more. */
const MOST_MOVE = 0.15; // K
/** Beyond this a sensor is broken, or hangs in the air. */
const MOST_APART = 5; // K

/**
 * Judges the newest samples, in the order of their times. The cup may cool as long as both cool alike:
 * only their difference has to rest.
 */
export function cupState(samples: readonly CupSample[]): CupState {
  const last = samples.at(-1);
  if (last === undefined) return { state: 'waiting' };
  const late = samples.filter(({ at }) => at >= last.at - LOOKS_BACK);
  if (late.length < LEAST_SAMPLES || last.at - late[0]!.at < LEAST_SPAN)
    return { state: 'waiting' };
  const differences = late.map(({ firstC, secondC }) => secondC - firstC);
  const spreadK = Math.max(...differences) - Math.min(...differences);
  if (spreadK > MOST_MOVE) return { state: 'moving' };
  const differenceK = differences.reduce((sum, each) => sum + each, 0) / differences.length;
  if (Math.abs(differenceK) > MOST_APART) return { state: 'too-far', differenceK };
  return { state: 'settled', differenceK, spreadK };
}

/** The offset that makes the second read as the first, from the one that it is read with so far [K]. */
export const offsetFor = (offsetK: number, differenceK: number): number =>
  Number((offsetK - differenceK).toFixed(2)) + 0;
