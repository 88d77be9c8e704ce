import { later } from '../later.tsx';
import { moreScreen } from '../more/more-screen.ts';
import type { Screen } from '../screen.ts';

/** Whether and of what this phone tells; More leads to it. */

export const noticesPath = /^\/notices\/?$/;

export const noticesScreen: Screen = {
  path: noticesPath,
  tab: null,
  within: moreScreen,
  needs: 'pairing',
  View: later(async () => (await import('./notices.tsx')).Notices),
};
