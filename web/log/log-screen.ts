import { later } from '../later.tsx';
import { moreScreen } from '../more/more-screen.ts';
import type { Screen } from '../screen.ts';

/** The owner's log; More leads to it. */

export const logPath = /^\/log\/?$/;

export const logScreen: Screen = {
  path: logPath,
  tab: null,
  within: moreScreen,
  needs: 'tub',
  View: later(async () => (await import('./log.tsx')).Log),
};
