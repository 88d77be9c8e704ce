import '../style/alerts.css';
import { screenAddress } from '../address.ts';
import { AlertList } from './alert-list.tsx';
import { alertsPath } from './alerts-screen.ts';
import { startAlerts } from './known.ts';
import { OpenedAlert } from './opened-alert.tsx';

/** All alerts, or the one that the address names. */
export function Alerts() {
  const id = alertsPath.exec(screenAddress.value)?.[1];
  return id === undefined ? <AlertList /> : <OpenedAlert key={id} id={id} />;
}

startAlerts();
