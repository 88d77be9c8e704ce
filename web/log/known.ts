import { computed, effect, signal } from '@preact/signals';
import type { LogEntryShape } from '../../model/owner-log.ts';
import { screenAddress } from '../address.ts';
import { dayNews, lostAt, tub } from '../live.ts';
import { get, send } from '../service.ts';
import { logPath } from './log-screen.ts';
import { kindWords, logWords } from './speech.ts';

/** The owner's log as far as this phone knows it, and what is written to it. */

const known = signal<{ tub: string; entries: LogEntryShape[] } | null>(null);
const failed = signal(false);

/** The newest of what they tell first; null while they are not known. */
export const entries = computed(() =>
  known.value?.tub === tub.value ? known.value.entries : null,
);
export const logFailed = computed(() => failed.value && entries.value === null);

/** Whether this phone may write; null while that is not known. */
export const mayWrite = signal<boolean | null>(null);
export const sending = signal(false);
/** The sentence of what went wrong. */
export const trouble = signal<string | null>(null);
/** What came of it. */
export const done = signal<string | null>(null);

async function fetchLog(shown: string): Promise<void> {
  const answer = await get<{ items: LogEntryShape[] }>(`/api/tubs/${shown}/log`);
  if (shown !== tub.peek()) return;
  failed.value = !answer.ok;
  if (answer.ok) known.value = { tub: shown, entries: answer.body.items };
}

/** A phone is told of its right by what it is refused; where nothing answers, its own try will tell. */
async function askRight(): Promise<void> {
  const answer = await get('/api/telling');
  if (answer.ok) mayWrite.value = true;
  else if (answer.status === 403) mayWrite.value = false;
  else mayWrite.value ??= true;
}

/** Whether it was entered. */
export const add = (entry: Omit<LogEntryShape, 'id'>): Promise<boolean> =>
  write('POST', '/log', entry, logWords.entered(kindWords.name[entry.kind]));

export const remove = (entry: LogEntryShape): Promise<boolean> =>
  write('DELETE', `/log/${entry.id}`, undefined, logWords.removed(kindWords.name[entry.kind]));

async function write(
  method: 'POST' | 'DELETE',
  path: string,
  body: unknown,
  told: string,
): Promise<boolean> {
  const shown = tub.peek();
  if (sending.value || shown === null) return false;
  [sending.value, done.value, trouble.value] = [true, null, null];
  const answer = await send(method, `/api/tubs/${shown}${path}`, body);
  if (answer.ok || answer.status === 404) await fetchLog(shown);
  sending.value = false;
  if (answer.ok) done.value = told;
  else trouble.value = failure(answer.status, answer.detail);
  return answer.ok;
}

function failure(status: number, detail: string): string | null {
  if (status === 403) {
    // The sentence of that stands in place of what could be pressed.
    mayWrite.value = false;
    return null;
  }
  if (status === 0) return logWords.unreachable;
  return status === 404 ? logWords.gone : logWords.refused(detail);
}

const wanted = computed(() =>
  logPath.test(screenAddress.value) && lostAt.value === null ? tub.value : null,
);

export function startLog(): void {
  effect(() => {
    if (wanted.value === null) return;
    [done.value, trouble.value] = [null, null];
    fetchLog(wanted.value);
    askRight();
  });
  effect(() => {
    // The page was away, and may have missed anything.
    const { date, count } = dayNews.value;
    const shown = wanted.peek();
    if (count > 0 && date === null && shown !== null) fetchLog(shown);
  });
}
