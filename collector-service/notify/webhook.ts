import { createHmac } from 'node:crypto';
import type { Setup } from '../../model/setup.ts';
import type { Clock } from '../clock.ts';
import { type Channel, everyTub, HOUSE, type Outcome, type Outgoing } from './channel.ts';
import { type Network, post } from './post.ts';

/** Tells another program of every alert, in JSON, signed where there is a secret. */
export class Webhook implements Channel {
  readonly name = 'webhook';
  private readonly setup: () => Setup;
  private readonly clock: Clock;
  private readonly network: Network;

  constructor(parts: { setup: () => Setup; clock: Clock; network?: Network }) {
    this.setup = parts.setup;
    this.clock = parts.clock;
    this.network = parts.network ?? {};
  }

  async recipients() {
    return this.settings ? [{ target: HOUSE, wishes: null, covers: everyTub }] : [];
  }

  async send(_target: string, { id, message }: Outgoing): Promise<Outcome> {
    const { settings } = this;
    if (!settings) return { sent: false, trouble: 'No webhook is set up.', gone: true };
    const { tub, event, alerts, at } = message;
    const body = JSON.stringify({ tub, event, alert: alerts[0] ?? null, at });
    const { url, secret, allowLocal = false } = settings;
    const headers = {
      'content-type': 'application/json',
      'user-agent': 'Sunsteep',
      'sunsteep-notice': id,
      ...(typeof secret === 'string' && {
        'sunsteep-signature': signature(secret, body, this.clock.now()),
      }),
    };
    const reach = allowLocal ? 'anywhere' : 'home';
    return outcomeOf(await post({ url, headers, body, reach }, this.network));
  }

  private get settings() {
    return this.setup().notify?.webhook ?? null;
  }
}

/**
 * What `Sunsteep-Signature` says: when it was sent, and the HMAC-SHA256 of that and the body, so that
 * nobody can send an old call again later.
 */
export function signature(secret: string, body: string, now: number): string {
  const t = Math.floor(now / 1000);
  const v1 = createHmac('sha256', secret).update(`${t}.${body}`).digest('hex');
  return `t=${t},v1=${v1}`;
}

function outcomeOf(posted: Awaited<ReturnType<typeof post>>): Outcome {
  if ('why' in posted) return { sent: false, trouble: `The webhook’s address ${posted.why}.` };
  const { status } = posted;
  if (status >= 200 && status < 300) return { sent: true, trouble: null };
  const trouble =
    status >= 300 && status < 400
      ? `The webhook’s address leads on to another one (${status}), which is not followed.`
      : `The webhook’s address answered with ${status}.`;
  return { sent: false, trouble };
}
