import { address } from '../address.ts';
import { later } from '../later.tsx';
import type { Screen } from '../screen.ts';

/** Where months are found: the last twelve, and each under an address of its own. */

export const monthsPath = /^\/months(?:\/(\d{4}-(?:0[1-9]|1[0-2])))?\/?$/;

export const monthAddress = (month: string) => address(`/months/${month}`);

export const monthsScreen: Screen = {
  path: monthsPath,
  tab: { word: (words) => words.frame.months, href: '/months' },
  needs: 'tub',
  View: later(async () => (await import('./months.tsx')).Months),
};
