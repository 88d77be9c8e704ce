/**
 * Chance without a memory: each number depends on seed, channel and index alone, so that any instant
 * of the simulated past and present comes out the same whenever and in whatever order it is asked for.
 */

/** Evenly spread over 0 ≤ x < 1. */
export function unit(seed: number, channel: number, index: number): number {
  let h = Math.imul(seed, 0x2c1b3c6d) ^ Math.imul(channel + 1, 0x297a2d39) ^ (index | 0);
  for (let round = 0; round < 2; round++) {
    h = Math.imul(h ^ (h >>> 16), 0x45d9f3b5);
    h = Math.imul(h ^ (h >>> 13), 0x5bd1e995);
    h ^= h >>> 15;
  }
  return (h >>> 0) / 2 ** 32;
}

/** Noise of mean 0 and standard deviation 1, never beyond ±2.45 (two dice, not a bell). */
export function noise(seed: number, channel: number, index: number): number {
  return (unit(seed, channel, 2 * index) + unit(seed, channel, 2 * index + 1) - 1) * Math.sqrt(6);
}

/** A smooth walk between 0 and 1 that is free at every whole `x`. */
export function drift(seed: number, channel: number, x: number): number {
  const index = Math.floor(x);
  const share = x - index;
  const ease = share * share * (3 - 2 * share);
  return unit(seed, channel, index) * (1 - ease) + unit(seed, channel, index + 1) * ease;
}
