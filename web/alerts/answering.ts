import { signal } from '@preact/signals';
import type { Alert } from '../../model/shapes.ts';
import { arrive } from '../address.ts';
import { get, send } from '../service.ts';
import { take } from './known.ts';
import { alertWords } from './speech.ts';

/** What a person says to an alert, on its way to the service. */

/** Whether this phone may say anything; null while that is not known. */
export const mayAnswer = signal<boolean | null>(null);
export const sending = signal(false);
/** The sentence of what went wrong. */
export const trouble = signal<string | null>(null);
/** Which answer is being made up; null: none. */
export const unfolded = signal<'quiet' | 'not-a-fault' | null>(null);

export function begin(): void {
  trouble.value = null;
  unfolded.value = null;
  askRight();
}

/** A phone is told of its right by what it is refused; where nothing answers, its own try will tell. */
async function askRight(): Promise<void> {
  const answer = await get('/api/telling');
  mayAnswer.value = answer.ok || answer.status !== 403;
}

export const acknowledge = (alert: Alert) => answer(alert, 'acknowledge', {});

export const keepQuiet = (alert: Alert, until: number) =>
  answer(alert, 'shelve', { until: new Date(until).toISOString() });

export const notAFault = (alert: Alert, why: string) => answer(alert, 'not-a-fault', { why });

async function answer(alert: Alert, verb: string, body: unknown): Promise<void> {
  if (sending.value) return;
  sending.value = true;
  const told = await send<Alert>('POST', `/api/tubs/${alert.tub}/alerts/${alert.id}/${verb}`, body);
  sending.value = false;
  trouble.value = told.ok ? null : failure(told.status, told.detail);
  if (!told.ok) return;
  take([told.body]);
  unfolded.value = null;
  // What was pressed may be gone; what came of it stands at the top.
  requestAnimationFrame(arrive);
}

function failure(status: number, detail: string): string | null {
  const { unreachable, gone, failed } = alertWords.answers;
  if (status === 403) {
    // The sentence of that stands in place of what could be pressed.
    mayAnswer.value = false;
    return null;
  }
  if (status === 0) return unreachable;
  return status === 404 ? gone : failed(detail);
}
