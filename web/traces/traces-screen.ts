import { later } from '../later.tsx';
import type { Screen } from '../screen.ts';

/** What sensors told over time; which lines and which span stand behind the address's question mark. */

export const tracesPath = /^\/traces\/?$/;

export const tracesScreen: Screen = {
  path: tracesPath,
  tab: { word: (words) => words.frame.traces, href: '/traces' },
  needs: 'tub',
  View: later(async () => (await import('./traces.tsx')).Traces),
};
