import { computed, effect, signal } from '@preact/signals';
import { pointType } from '../../../model/points.ts';
import type { Setup, Wiring } from '../../../model/setup.ts';
import { screenAddress } from '../../address.ts';
import { keep, kept } from '../../kept.ts';
import { lostAt, now, tub, tubs } from '../../live.ts';
import { type Answer, get, send } from '../../service.ts';
import { words } from '../../speech.ts';
import { Changing } from './changing.ts';
import { sensorsPath } from './sensors-screen.ts';
import { sensorsWords } from './speech.ts';
import { changeSetup, wiredWith, wiredWithout } from './wiring.ts';

/** What is heard of boards as far as this phone knows, and what it takes of it. */

export interface FoundNumber {
  pointer: string | null;
  value: number;
  wired: { tub: string; point: string } | null;
  mayBe: { point: string; unit: string | null; why: keyof typeof sensorsWords.guessed } | null;
}

export interface FoundTopic {
  topic: string;
  time: string;
  earlier: boolean;
  numbers: FoundNumber[];
}

/** One number of one topic. */
export interface Found extends FoundNumber {
  topic: string;
  time: string;
}

export interface Unread {
  topic: string;
  payload: string;
  why: string;
  count: number;
  last: string;
}

const heard = signal<{ until: string | null; items: FoundTopic[] } | null>(null);
export const unread = signal<Unread[]>([]);
export const setup = signal<Setup | null>(null);
export const mayNot = signal(false);
export const failed = signal(false);
export const sending = signal(false);
export const trouble = signal<string | null>(null);
export const done = signal<string | null>(null);
/** Numbers that this phone was told not to offer. */
const ignored = signal<readonly string[]>(keptList());

/** Until when every message is heard; null where it is not. */
export const listensUntil = computed(() => heard.value?.until ?? null);

export const keyOf = ({ topic, pointer }: { topic: string; pointer: string | null }): string =>
  `${topic} ${pointer ?? ''}`;

const found = computed<Found[]>(() =>
  (heard.value?.items ?? [])
    .flatMap(({ topic, time, numbers }) => numbers.map((number) => ({ ...number, topic, time })))
    .filter((number) => number.wired === null && !ignored.value.includes(keyOf(number))),
);
export const guessed = computed(() => found.value.filter(({ mayBe }) => mayBe !== null));
export const others = computed(() => found.value.filter(({ mayBe }) => mayBe === null));

/** The points that are taken from topics of other boards for a tub. */
export const wiredFor = (tub: string): string[] =>
  (setup.value?.wiring ?? []).filter((wire) => wire.tub === tub).map(({ point }) => point);

/**
 * The tub that a number is taken for with one tap: the one that is shown, or, before any was heard, the one
 * that is about to be. Null where there are several and none was chosen.
 */
export const taker = computed<string | null>(() => {
  if (tub.value !== null) return tub.value;
  if ((tubs.value?.items.length ?? 0) > 0) return null;
  const wired = setup.value?.wiring?.find((wire) => !wire.tub.includes('{'));
  return wired?.tub ?? words.connect.tub;
});

const changing = new Changing();
/** The point that somebody may be warming in the hand. */
export const changesMost = signal<{ point: string; deltaK: number } | null>(null);

const LISTENS = 10; // min
const BETWEEN_LOOKS = 3000; // ms

export async function listen(): Promise<void> {
  const answer = await send<{ until: string }>('POST', '/api/listen', { minutes: LISTENS });
  if (answer.ok) await look();
  else take(answer);
}

async function look(): Promise<void> {
  const which = taker.peek();
  const query = which === null ? '' : `?tub=${which}`;
  const answer = await get<{ until: string | null; items: FoundTopic[] }>(`/api/listen${query}`);
  take(answer);
  if (answer.ok) heard.value = answer.body;
}

function take(answer: Answer<unknown>): void {
  if (!answer.ok && answer.status === 403) mayNot.value = true;
  failed.value = !answer.ok && answer.status !== 403;
}

async function fetchRest(): Promise<void> {
  const [document, kinds] = await Promise.all([
    get<Setup>('/api/setup'),
    get<{ items: Unread[] }>('/api/unreadable'),
  ]);
  if (document.ok) setup.value = document.body;
  if (kinds.ok) unread.value = kinds.body.items;
}

export const wire = (wanted: Wiring): Promise<boolean> =>
  change((document) => wiredWith(document, wanted), sensorsWords.wired(nameOf(wanted)));

export const unwire = (wanted: Wiring): Promise<boolean> =>
  change((document) => wiredWithout(document, wanted), sensorsWords.unwired(nameOf(wanted)));

const nameOf = ({ point }: Wiring): string => words.points.name(point);

async function change(of: (setup: Setup) => Setup, told: string): Promise<boolean> {
  if (sending.value) return false;
  [sending.value, done.value, trouble.value] = [true, null, null];
  const answer = await changeSetup(of);
  await Promise.all([look(), fetchRest()]);
  sending.value = false;
  if (answer.ok) done.value = told;
  else if (answer.status === 403) mayNot.value = true;
  else
    trouble.value =
      answer.status === 0 ? sensorsWords.unreachable : sensorsWords.refused(answer.detail);
  return answer.ok;
}

export function ignore(number: Found): void {
  ignored.value = [...ignored.value, keyOf(number)].slice(-MOST_IGNORED);
  keep('ignored', JSON.stringify(ignored.value));
}

const MOST_IGNORED = 200;

function keptList(): string[] {
  try {
    const list: unknown = JSON.parse(kept('ignored') ?? '[]');
    return Array.isArray(list) ? list.filter((each) => typeof each === 'string') : [];
  } catch {
    return [];
  }
}

const isShown = computed(() => sensorsPath.test(screenAddress.value) && lostAt.value === null);

export function startSensors(): void {
  effect(() => {
    if (!isShown.value || mayNot.value) return;
    [done.value, trouble.value] = [null, null];
    listen();
    fetchRest();
    const timer = setInterval(look, BETWEEN_LOOKS);
    return () => clearInterval(timer);
  });
  effect(() => {
    for (const [point, { value, time }] of Object.entries(now.value?.values ?? {})) {
      if (time === null || pointType(point)?.kind !== 'temperature') continue;
      changing.take(point, Date.parse(time), value);
    }
    const most = changing.most();
    changesMost.value = most && { point: most.name, deltaK: most.change };
  });
}
