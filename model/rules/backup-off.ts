import type { Minute } from '../minutes/minute.ts';

/** A thermostat this far above the wanted temperature has long switched off. [K] */
const SATISFIED_K = 0.5;
/** More than that is heating. */
export const STAND_BY_W = 60;

/**
 * Whether the backup rests; null where that is not known. Where nothing measures it, it rests when there
 * is none, or when the tub is well above what it is set to.
 */
export function isBackupOff({ backupW, tubC, setpointC, settings }: Minute): boolean | null {
  if (settings.backup.kind === 'none') return true;
  if (backupW !== null) return backupW < STAND_BY_W;
  if (tubC === null) return null;
  return tubC > (setpointC ?? settings.tub.targetC) + SATISFIED_K ? true : null;
}
