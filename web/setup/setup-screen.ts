import { later } from '../later.tsx';
import { moreScreen } from '../more/more-screen.ts';
import type { Screen } from '../screen.ts';

/** What the program is told of the tub; More leads to it. Each section has an address of its own. */

export const setupPath =
  /^\/setup(?:\/(place|tub|collectors|loop|controller|backup|evening|warnings))?\/?$/;

export const guidedPath = /^\/setup\/(bucket-test|cup-check)\/?$/;

const underMore = { tab: null, within: moreScreen, needs: 'tub' } as const;

export const setupScreen: Screen = {
  ...underMore,
  path: setupPath,
  View: later(async () => (await import('./setup.tsx')).SetUp),
  WithoutTub: later(async () => (await import('./setup.tsx')).SetUpBeforeTub),
};

export const guidedScreen: Screen = {
  ...underMore,
  path: guidedPath,
  View: later(async () => (await import('./guided/guided.tsx')).Guided),
};
