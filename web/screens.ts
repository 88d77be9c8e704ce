import { alertsScreen } from './alerts/alerts-screen.ts';
import { handoverScreen } from './handover/handover-screen.ts';
import { logScreen } from './log/log-screen.ts';
import { monthsScreen } from './months/months-screen.ts';
import { moreScreen } from './more/more-screen.ts';
import { noticesScreen } from './notices/notices-screen.ts';
import { pairScreen } from './pair/pair.tsx';
import { phonesScreen } from './phones/phones-screen.ts';
import type { Screen } from './screen.ts';
import { sensorsScreen } from './setup/sensors/sensors-screen.ts';
import { guidedScreen, setupScreen } from './setup/setup-screen.ts';
import { todayScreen } from './today/today.tsx';
import { tracesScreen } from './traces/traces-screen.ts';
import { tubsScreen } from './tubs/tubs.tsx';

/** Every screen; those with a tab stand in the navigation in this order. */
export const screens: readonly Screen[] = [
  todayScreen,
  alertsScreen,
  monthsScreen,
  tracesScreen,
  moreScreen,
  logScreen,
  phonesScreen,
  noticesScreen,
  setupScreen,
  guidedScreen,
  sensorsScreen,
  handoverScreen,
  tubsScreen,
  pairScreen,
];
