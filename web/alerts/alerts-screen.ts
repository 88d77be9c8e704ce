import { address } from '../address.ts';
import { later } from '../later.tsx';
import type { Screen } from '../screen.ts';

/** Where alerts are found: all of them, and each under an address of its own. */

export const alertsPath = /^\/alerts(?:\/([a-z0-9-]{1,200}))?\/?$/;

export const alertAddress = (id: string) => address(`/alerts/${id}`);

export const alertsScreen: Screen = {
  path: alertsPath,
  tab: { word: (words) => words.frame.alerts, href: '/alerts' },
  needs: 'tub',
  View: later(async () => (await import('./alerts.tsx')).Alerts),
};
