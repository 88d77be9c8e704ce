import { computed, effect, signal } from '@preact/signals';
import type { PhoneManner, PhoneWishes } from '../../model/alerts/telling.ts';
import type { NoNotices } from '../../model/words/phone-notice-words.ts';
import { screenAddress } from '../address.ts';
import { keep } from '../kept.ts';
import { lostAt } from '../live.ts';
import { type Answer, get, send } from '../service.ts';
import { say } from '../speech.ts';
import { noticesPath } from './notices-screen.ts';
import { noticesWords } from './speech.ts';
import { hindrance, subscribe, subscription } from './subscribing.ts';

/** How this phone is told of alerts: what its browser has, and what the service knows of it. */

interface OfPhone {
  publicKey: string;
  /** null: this phone wants no notices */
  wishes: PhoneWishes | null;
}

interface ChannelState {
  channel: string;
  waiting: number;
  trouble: string | null;
}

const known = signal<OfPhone | null>(null);
const subscribed = signal(false);
export const failed = signal(false);
/** How notices to phones are doing; null where this phone may not know. */
export const pushState = signal<ChannelState | null>(null);
/** Whether a test may be asked for. */
export const mayTest = signal(false);
export const cannot = signal<NoNotices | null>(hindrance());
export const sending = signal(false);
export const trouble = signal<string | null>(null);
export const done = signal<string | null>(null);

export const usualPhoneWishes: PhoneWishes = { quiet: null, least: 'look', actAtNight: false };

export const wishes = computed(() => known.value?.wishes ?? null);

export const standing = computed<'unknown' | 'off' | 'lost' | 'on'>(() => {
  if (known.value === null) return 'unknown';
  if (known.value.wishes === null) return 'off';
  return subscribed.value ? 'on' : 'lost';
});

const manner = (): PhoneManner => {
  const { locale, temperature, volume, hours } = say.peek().manner;
  return { locale, temperature, volume, hours };
};

async function look(): Promise<void> {
  cannot.value = hindrance();
  subscribed.value = (await subscription()) !== null;
  const [mine, channels] = await Promise.all([
    get<OfPhone>('/api/telling/push'),
    get<{ items: ChannelState[] }>('/api/telling'),
  ]);
  failed.value = !mine.ok;
  if (mine.ok) know(mine.body);
  mayTest.value = channels.ok;
  pushState.value =
    (channels.ok && channels.body.items.find(({ channel }) => channel === 'push')) || null;
}

function know(ofPhone: OfPhone): void {
  known.value = ofPhone;
  keep('told', ofPhone.wishes === null ? 'no' : 'yes');
}

function begin(): void {
  [sending.value, trouble.value, done.value] = [true, null, null];
}

function refused(answer: Extract<Answer<unknown>, { ok: false }>): void {
  const { unreachable, tooMany, refused: why } = noticesWords;
  if (answer.status === 0) trouble.value = unreachable;
  else trouble.value = answer.status === 429 ? tooMany : why(answer.detail);
}

async function put(at: PushSubscription, wished: PhoneWishes): Promise<boolean> {
  const body = { subscription: at.toJSON(), wishes: { ...wished, manner: manner() } };
  // What browsers add beside address and keys is none of the service's business.
  const { endpoint, keys } = body.subscription;
  const answer = await send<OfPhone>('PUT', '/api/telling/push', {
    ...body,
    subscription: { endpoint, keys },
  });
  if (!answer.ok) refused(answer);
  else know(answer.body);
  return answer.ok;
}

export async function turnOn(): Promise<void> {
  begin();
  const got = await subscribe(known.value!.publicKey);
  if (typeof got === 'string') cannot.value = got;
  else subscribed.value = await put(got, wishes.value ?? usualPhoneWishes);
  sending.value = false;
}

export async function turnOff(): Promise<void> {
  begin();
  const answer = await send('DELETE', '/api/telling/push');
  sending.value = false;
  if (!answer.ok) return refused(answer);
  know({ ...known.value!, wishes: null });
  subscribed.value = false;
  done.value = noticesWords.turnedOff;
  await (await subscription())?.unsubscribe();
}

export async function saveWishes(wished: PhoneWishes): Promise<void> {
  begin();
  const at = await subscription();
  if (at === null) subscribed.value = false;
  else if (await put(at, wished)) done.value = noticesWords.saved;
  sending.value = false;
}

export async function test(): Promise<void> {
  begin();
  const answer = await send<{ sent: boolean; says: string }>('POST', '/api/telling/test', {
    channel: 'push',
  });
  sending.value = false;
  if (!answer.ok) return refused(answer);
  const { sent, says } = answer.body;
  if (sent) done.value = noticesWords.testSent;
  else trouble.value = noticesWords.testFailed(says);
  await look();
}

/** The phone's units or language have changed, or its browser has made another subscription. */
export async function tellManner(): Promise<void> {
  const at = await subscription();
  const answer = await get<OfPhone>('/api/telling/push');
  if (!answer.ok) return;
  know(answer.body);
  if (at !== null && answer.body.wishes !== null) await put(at, answer.body.wishes);
}

export function startNotices(): void {
  effect(() => {
    if (noticesPath.test(screenAddress.value) && lostAt.value === null) look();
  });
}
