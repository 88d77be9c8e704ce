import { later } from '../../later.tsx';
import { moreScreen } from '../../more/more-screen.ts';
import type { Screen } from '../../screen.ts';

/** What boards send; the first part of Set-up. */

export const sensorsPath = /^\/setup\/sensors\/?$/;

export const sensorsScreen: Screen = {
  path: sensorsPath,
  tab: null,
  within: moreScreen,
  needs: 'pairing',
  View: later(async () => (await import('./sensors.tsx')).Sensors),
};
