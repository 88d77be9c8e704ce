import { createHash } from 'node:crypto';
import webPush from 'web-push';
import type { Message } from '../../model/alerts/notice.ts';
import { usualWishes } from '../../model/alerts/telling.ts';
import type { Setup } from '../../model/setup.ts';
import type { Clock } from '../clock.ts';
import type { Store, Subscription } from '../store/store.ts';
import type { Channel, Outcome, Outgoing, Recipient } from './channel.ts';
import { type Network, post } from './post.ts';
import type { Reach } from './reach.ts';

/** The key pair by which push services know this house (RFC 8292), in base64url. */
export interface VapidKeys {
  publicKey: string;
  privateKey: string;
}

const KEYS = 'push keys';
/** A phone that was off for longer hears no more of it: what stands is told again. [s] */
const KEPT_S = 86_400;

/** The keys, made once: other ones would cut every phone off. */
export async function vapidKeys(store: Store): Promise<VapidKeys> {
  const kept = await store.note(KEYS);
  if (kept !== null) return JSON.parse(kept) as VapidKeys;
  const made = webPush.generateVAPIDKeys();
  await store.putNote(KEYS, JSON.stringify(made));
  return made;
}

/** Tells phones that asked for it, through the push service of each one's browser. */
export class Push implements Channel {
  readonly name = 'push';
  private readonly store: Store;
  private readonly clock: Clock;
  private readonly setup: () => Setup;
  private readonly keys: VapidKeys;
  private readonly contact: () => string;
  private readonly network: Network;
  private readonly reach: Reach;

  constructor(parts: {
    store: Store;
    clock: Clock;
    setup: () => Setup;
    keys: VapidKeys;
    /** Whom a push service may write to: an https or mailto address. */
    contact: () => string;
    network?: Network;
    /** Phones name the address that is called, those of viewers too: the internet’s alone. */
    reach?: Reach;
  }) {
    this.store = parts.store;
    this.clock = parts.clock;
    this.setup = parts.setup;
    this.keys = parts.keys;
    this.contact = parts.contact;
    this.network = parts.network ?? {};
    this.reach = parts.reach ?? 'internet';
  }

  async recipients(): Promise<Recipient[]> {
    const now = this.clock.now();
    const subscriptions = await this.store.subscriptions();
    if (subscriptions.length === 0) return [];
    const house = this.setup().notify?.quiet ?? usualWishes.quiet;
    const phones = new Map((await this.store.phones()).map((phone) => [phone.id, phone]));
    return subscriptions.flatMap(({ phone, wishes }) => {
      const { tubs = [], until = 0 } = phones.get(phone) ?? {};
      if (until !== null && until <= now) return [];
      const covers = (tub: string) => tubs === null || tubs.includes(tub);
      const { manner, ...others } = wishes;
      return [
        { target: phone, wishes: { ...others, quiet: wishes.quiet ?? house }, manner, covers },
      ];
    });
  }

  async send(target: string, outgoing: Outgoing): Promise<Outcome> {
    const found = (await this.store.subscriptions()).find(({ phone }) => phone === target);
    if (!found) return { sent: false, trouble: 'The phone wants no notices.', gone: true };
    // what was to be told while the right held may be due once it has ended
    const may = (await this.recipients()).find((one) => one.target === target);
    const { tub } = outgoing.message;
    if (!may || (tub !== null && !may.covers(tub))) {
      return { sent: false, trouble: 'The phone’s right has ended.', gone: true };
    }
    const call = this.call(found, outgoing);
    if (!call) return { sent: false, trouble: 'The phone’s keys are no keys.', gone: true };
    const posted = await post({ ...call, reach: this.reach }, this.network);
    if ('why' in posted) {
      return { sent: false, trouble: `The phone’s push service ${posted.why}.` };
    }
    const { status } = posted;
    if (status >= 200 && status < 300) return { sent: true, trouble: null };
    if (status === 404 || status === 410) {
      await this.store.unsubscribe(target); // RFC 8030 §7.3: it will not come back
      return { sent: false, trouble: 'The phone has ended its notices.', gone: true };
    }
    return { sent: false, trouble: `The phone’s push service answered with ${status}.` };
  }

  /** Encrypted for the phone alone (RFC 8291), signed by us (RFC 8292); null where its keys are none. */
  private call({ endpoint, p256dh, auth }: Subscription, outgoing: Outgoing) {
    const { severity } = outgoing.message;
    try {
      const { headers, body } = webPush.generateRequestDetails(
        { endpoint, keys: { p256dh, auth } },
        pushPayload(outgoing),
        {
          vapidDetails: { subject: this.contact(), ...this.keys },
          TTL: KEPT_S,
          urgency: severity === 'danger' ? 'high' : 'normal',
          topic: topicOf(outgoing),
        },
      );
      return { url: endpoint, headers: headers as Record<string, string>, body: body! };
    } catch {
      return null;
    }
  }
}

/** What the page's worker shows, and where it leads: far below the 4 KiB that a push may hold. */
export function pushPayload({ id, message }: Outgoing): string {
  const { title, text, severity, event, tub, alerts } = message;
  const alert = alerts.length === 1 ? alerts[0]!.id : null;
  return JSON.stringify({ id, title, text: text.slice(0, 1000), severity, event, tub, alert });
}

/** What is told again of an alert takes the place of what a phone that was off did not get yet. */
function topicOf({ id, message }: Outgoing): string {
  const about = topicAbout(message) ?? id;
  return createHash('sha256').update(about).digest('base64url').slice(0, 32);
}

const topicAbout = ({ tub, alerts }: Message): string | null =>
  alerts.length === 1 ? `${tub} ${alerts[0]!.id}` : null;
