import { effect, signal } from '@preact/signals';
import { screenAddress } from '../address.ts';
import { lostAt, refresh } from '../live.ts';
import { get, send } from '../service.ts';
import { phonesPath } from './phones-screen.ts';
import { phonesWords } from './speech.ts';

/** The paired phones and the links that nobody has used yet, and what is done to them. */

export type Right = 'full' | 'viewer';

interface Rights {
  id: string;
  right: Right;
  /** null: all */
  tubs: string[] | null;
  until: string | null;
}

export interface PairedPhone extends Rights {
  kind: 'phone';
  name: string;
  pairedAt: string;
  seenAt: string | null;
  /** The one that asks. */
  you: boolean;
}

export interface OpenLink extends Rights {
  kind: 'link';
  expires: string;
}

export const phones = signal<PairedPhone[] | null>(null);
export const links = signal<OpenLink[]>([]);
/** Whether this phone may let others in; null while that is not known. */
export const mayChange = signal<boolean | null>(null);
export const phonesFailed = signal(false);

export const sending = signal(false);
/** The sentence of what went wrong. */
export const trouble = signal<string | null>(null);
/** What came of it. */
export const done = signal<string | null>(null);

export async function fetchPhones(): Promise<void> {
  const answer = await get<{ items: (PairedPhone | OpenLink)[] }>('/api/phones');
  phonesFailed.value = !answer.ok && answer.status !== 403;
  if (answer.ok) {
    mayChange.value = true;
    phones.value = answer.body.items.filter((one) => one.kind === 'phone');
    links.value = answer.body.items.filter((one) => one.kind === 'link');
  } else if (answer.status === 403) {
    mayChange.value = false;
    [phones.value, links.value] = [null, []];
  } else if (answer.status === 401) refresh();
}

/** @returns what the service answered, or null where it did not do it; then `trouble` says why */
export async function change<T>(
  method: 'POST' | 'PUT' | 'DELETE',
  path: string,
  body?: unknown,
): Promise<{ body: T } | null> {
  [sending.value, trouble.value, done.value] = [true, null, null];
  const answer = await send<T>(method, path, body);
  sending.value = false;
  if (answer.ok) return answer;
  if (answer.status === 0) trouble.value = phonesWords.unreachable;
  else if (answer.status === 404) trouble.value = phonesWords.gone;
  else trouble.value = phonesWords.refused(answer.detail);
  if (answer.status === 401) refresh();
  if (answer.status === 403 || answer.status === 404) fetchPhones();
  return null;
}

/** @returns whether it has another name now */
export async function rename({ id }: PairedPhone, name: string): Promise<boolean> {
  if (!(await change('PUT', `/api/phones/${id}`, { name }))) return false;
  done.value = phonesWords.renamed(name);
  await fetchPhones();
  return true;
}

export async function remove(phone: PairedPhone): Promise<void> {
  if (!(await change('DELETE', `/api/phones/${phone.id}`))) return;
  if (phone.you) {
    phones.value = null;
    // The next question is refused, and with that everything that this phone knew is wiped.
    await refresh();
    return;
  }
  done.value = phonesWords.removed(phone.name);
  await fetchPhones();
}

export async function takeBack({ id }: Pick<OpenLink, 'id'>): Promise<void> {
  if (!(await change('DELETE', `/api/phones/${id}`))) return;
  done.value = phonesWords.takenBack;
  await fetchPhones();
}

export function startPhones(): void {
  effect(() => {
    if (phonesPath.test(screenAddress.value) && lostAt.value === null) fetchPhones();
  });
}
