import { later } from '../later.tsx';
import type { Screen } from '../screen.ts';

/** What is needed now and then: the screens that have no tab of their own. */
export const moreScreen: Screen = {
  path: /^\/more\/?$/,
  tab: { word: (words) => words.frame.more, href: '/more' },
  needs: 'pairing',
  View: later(async () => (await import('./more.tsx')).More),
};
