import { QUARTER } from './readings.ts';
import { mayRun } from './tariff.ts';
import { efficiencyAt, hasFallenFast, type Step, type Thermostat, works } from './thermostat.ts';
import type { TubSettings } from './tub-settings.ts';

/** Heat that the real backup gave in a quarter hour, and how much of it is but presumed [kWh]. */
export interface BackupHeat {
  kwh: number;
  presumedKwh: number;
}

/** What the real backup did in a quarter: seen to work, presumed to behind a bath, or at rest. */
type State = 'works' | 'presumed' | 'rests';

/**
 * Heat that the real backup gave in each of some quarters, in order: by its sensor, or by what the tub did.
 *
 * A bath, or a cover that stands open, hides the backup: the tub falls though it is heated. So where the
 * tub falls faster than it could by itself, and the thermostat wants heat in the backup's hours, it is
 * presumed to work as it was lately seen to. It would else seem that the reference tub alone was heated, and
 * the sun be credited with the difference.
 */
export function backupHeats(
  steps: readonly Step[],
  settings: TubSettings,
  thermostat: Thermostat,
): BackupHeat[] {
  const states = statesOf(steps, settings, thermostat);
  const full = 0.25 * thermostat.kw;
  return steps.map((step, i) => {
    const { quarter, airC, otherKwh } = step;
    if (quarter.backupKwh !== null) {
      return { kwh: quarter.backupKwh * efficiencyAt(thermostat, airC), presumedKwh: 0 };
    }
    const state = states[i]!;
    if (state === 'rests') return { kwh: 0, presumedKwh: 0 };
    if (state === 'presumed') return { kwh: full, presumedKwh: full };
    const isAmidst = [i - 1, i + 1].every((j) => (states[j] ?? 'rests') !== 'rests');
    // noise that is cut off at the top alone would make its work seem less than it is
    return { kwh: isAmidst ? full : Math.min(otherKwh, full), presumedKwh: 0 };
  });
}

function statesOf(steps: readonly Step[], settings: TubSettings, thermostat: Thermostat): State[] {
  let wants = false;
  let last: State = 'rests';
  return steps.map((step, i) => {
    const { from } = step.quarter;
    const may = mayRun(from, settings.backup.hours, settings.place.timeZone);
    const isNext = i > 0 && from === steps[i - 1]!.quarter.from + QUARTER;
    const { onC, offC } = thermostat;
    wants = may && (step.fromC < onC || (wants && isNext && step.fromC < offC));
    last = stateOf(step, settings, thermostat, { wants, last: isNext ? last : 'rests' });
    wants ||= may && last === 'works';
    return last;
  });
}

function stateOf(
  step: Step,
  settings: TubSettings,
  thermostat: Thermostat,
  { wants, last }: { wants: boolean; last: State },
): State {
  if (works(step, settings)) return 'works';
  if (!wants || !thermostat.isSeenToWork) return 'rests';
  // what a bath takes and what the backup gives may as well be the same
  return hasFallenFast(step, settings) || last === 'presumed' ? 'presumed' : 'rests';
}
