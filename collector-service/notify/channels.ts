import type { Setup } from '../../model/setup.ts';
import type { Clock } from '../clock.ts';
import type { Store } from '../store/store.ts';
import type { Channel } from './channel.ts';
import { Mail } from './mail.ts';
import type { Network } from './post.ts';
import { Push, type VapidKeys } from './push.ts';
import { Webhook } from './webhook.ts';
import { letter } from './writer.ts';

/** Every way to tell people and programs. */
export function channels(parts: {
  store: Store;
  clock: Clock;
  setup: () => Setup;
  keys: VapidKeys;
  /** The address that phones use; null where it is not set. */
  url: string | null;
  network?: Network;
}): readonly Channel[] {
  const { store, clock, setup, keys, url, network } = parts;
  const contact = () => contactOf(setup(), url);
  return [
    new Push({ store, clock, setup, keys, contact, ...(network && { network }) }),
    new Mail({ setup, bodyOf: (message) => letter(message, setup(), url) }),
    new Webhook({ setup, clock, ...(network && { network }) }),
  ];
}

/**
 * Whom a push service may write to about our notices (RFC 8292 §2.1): the house's own address or mail,
 * as far as the owner gave one.
 */
function contactOf({ notify }: Setup, url: string | null): string {
  if (url?.startsWith('https://')) return url;
  const mail = notify?.mail?.from.match(/[^\s<>@]+@[^\s<>@]+/)?.[0];
  return `mailto:${mail ?? 'nobody@sunsteep.invalid'}`;
}
