import { signal } from '@preact/signals';
import type { FaultId } from '../../model/rules/fault-id.ts';
import type { Alert } from '../../model/shapes.ts';
import type { AllFaultWords } from '../../model/words/fault-words.ts';
import { say, units, words } from '../speech.ts';

/**
 * Alerts in this phone's units. The service says them in °C, litres and 24 hours; whoever likes others
 * gets the words of faults fetched, and the same is said again from the same figures.
 */

const faults = signal<AllFaultWords | null>(null);

const languages: Record<string, () => Promise<AllFaultWords>> = {
  en: async () => (await import('../../model/words/en-faults.ts')).enFaults,
};

let asked = false;

async function fetchWords(): Promise<void> {
  if (asked) return;
  asked = true;
  try {
    faults.value = await languages[words.language]!();
  } catch {
    // What the service says is right too; the next alert asks again.
    asked = false;
  }
}

/** The alert as this phone says it; as the service says it until its words are there. */
export function inOwnWords(alert: Alert): Alert {
  const { temperature, volume, hours } = units.value;
  if (temperature === 'C' && volume === 'l' && hours === 24) return alert;
  if (faults.value === null) fetchWords();
  const said = faults.value?.[alert.fault as FaultId];
  if (!said) return alert;
  const point = alert.point === undefined ? null : words.points.name(alert.point);
  const about = { evidence: alert.evidence, point };
  return { ...alert, says: said.says(about, say.value), shows: said.shows(about, say.value) };
}
