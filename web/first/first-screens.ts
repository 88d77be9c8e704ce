import { later } from '../later.tsx';

/** What only a house in its first hour needs, and so is fetched there alone. */

export const NothingHeard = later(async () => (await import('./nothing-heard.tsx')).NothingHeard);

/** It stands below a sentence that is there already. */
export const FirstPlace = later(
  async () => (await import('./first-place.tsx')).FirstPlace,
  () => null,
);
