import { later } from '../later.tsx';
import { moreScreen } from '../more/more-screen.ts';
import type { Screen } from '../screen.ts';

/** One file of some days for somebody who helps; More and each alert lead to it. */
export const handoverScreen: Screen = {
  path: /^\/handover\/?$/,
  tab: null,
  within: moreScreen,
  needs: 'tub',
  View: later(async () => (await import('./handover.tsx')).Handover),
};
