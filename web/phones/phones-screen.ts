import { later } from '../later.tsx';
import { moreScreen } from '../more/more-screen.ts';
import type { Screen } from '../screen.ts';

/** Who may see and who may change; More leads to it. */

export const phonesPath = /^\/phones\/?$/;

export const phonesScreen: Screen = {
  path: phonesPath,
  tab: null,
  within: moreScreen,
  needs: 'pairing',
  View: later(async () => (await import('./phones.tsx')).Phones),
};
