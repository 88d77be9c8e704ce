import { ECDH } from 'node:crypto';
import { z } from 'zod';
import { usualWishes } from '../../model/alerts/telling.ts';
import { quietHours } from '../../model/setup.ts';
import { SunsteepError } from '../errors.ts';
import { HOUSE } from '../notify/channel.ts';
import type { ChannelName, ChannelRecord } from '../store/store.ts';
import { type Access, refused } from './access.ts';
import type { App, Parts } from './parts.ts';
import { iso } from './spans.ts';
import { Tries } from './tries.ts';

const channel = z.enum(['push', 'mail', 'webhook']);
const publicKey = z.string().describe('the applicationServerKey of a subscription, in base64url');

const channelSchema = z.object({
  channel,
  recipients: z.int().describe('how many it tells; 0 where it is not set up'),
  lastSentAt: z.iso.datetime().nullable(),
  waiting: z.int().describe('notices that are still to be sent'),
  trouble: z.string().nullable().describe('what went wrong last, in a sentence; null: nothing'),
});

/** Bytes in base64url, as browsers write them: with or without padding. */
const bytes = (count: number) =>
  z
    .string()
    .regex(/^[\w-]+={0,2}$/, 'expected base64url')
    .refine((text) => Buffer.from(text, 'base64url').length === count, `expected ${count} bytes`);

const isOnCurve = (key: string): boolean => {
  try {
    ECDH.convertKey(key, 'prime256v1', 'base64url');
    return true;
  } catch {
    return false;
  }
};

const subscriptionSchema = z.object({
  endpoint: z.url({ protocol: /^https$/, error: 'expected an https address' }).max(2000),
  keys: z.object({
    p256dh: bytes(65).refine(isOnCurve, 'expected a public key on the curve P-256'),
    auth: bytes(16),
  }),
});

const isLocale = (tag: string): boolean => {
  try {
    return Intl.getCanonicalLocales(tag).length === 1;
  } catch {
    return false;
  }
};

const mannerSchema = z.strictObject({
  locale: z.string().min(2).max(85).refine(isLocale, 'expected a language tag such as en-NZ'),
  temperature: z.enum(['C', 'F']),
  volume: z.enum(['l', 'gal']),
  hours: z.union([z.literal(12), z.literal(24)]),
});

const wishesSchema = z.strictObject({
  quiet: quietHours.nullable().default(null).describe('null: those of the set-up'),
  least: z.enum(['look', 'act', 'danger']).default('look').describe('less is not told'),
  actAtNight: z
    .boolean()
    .default(usualWishes.actAtNight)
    .describe('whether what is to be done today may sound in the quiet hours'),
  manner: mannerSchema.optional().describe('left out: °C, litres and 24 hours'),
});

const ofPhone = z.object({ publicKey, wishes: wishesSchema.nullable() });

export function tellingRoutes(api: App, { store, telling, pushKey, clock }: Parts): void {
  const tries = new Tries(clock);

  api.get(
    '/telling',
    {
      config: { needs: 'full' },
      schema: {
        summary:
          'How each way to be told is doing: what came through last, what waits, what is wrong',
        response: { 200: z.object({ items: z.array(channelSchema), next: z.null(), publicKey }) },
      },
    },
    async () => {
      const states = await telling.states();
      const items = states.map(({ channel, recipients, ...record }) => ({
        channel,
        recipients,
        ...toldRecord(record),
      }));
      return { items, next: null, publicKey: pushKey };
    },
  );

  api.get(
    '/telling/push',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'What the calling phone needs to be told, and how it wants that; null: not at all',
        response: { 200: ofPhone },
      },
    },
    async ({ access }) => {
      const own = (await store.subscriptions()).find(({ phone }) => phone === access.phone);
      return { publicKey: pushKey, wishes: own?.wishes ?? null };
    },
  );

  api.put(
    '/telling/push',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Tells the calling phone from now on, as it wishes',
        body: z.strictObject({
          subscription: subscriptionSchema,
          wishes: wishesSchema.prefault({}),
        }),
        response: { 200: ofPhone },
      },
    },
    async ({ access, body: { subscription, wishes } }) => {
      const { endpoint, keys } = subscription;
      await store.subscribe({ phone: phoneOf(access), endpoint, ...keys, wishes });
      return { publicKey: pushKey, wishes };
    },
  );

  api.delete(
    '/telling/push',
    {
      config: { needs: 'viewer' },
      schema: {
        summary: 'Tells the calling phone no more',
        response: { 204: z.undefined().describe('it is told no more') },
      },
    },
    async ({ access }, reply) => {
      await store.unsubscribe(phoneOf(access));
      return reply.code(204).send();
    },
  );

  api.post(
    '/telling/test',
    {
      config: { needs: 'full' },
      schema: {
        summary: 'Sends one test notice at once and tells what came of it; ten a minute',
        body: z.strictObject({ channel }),
        response: { 200: z.object({ sent: z.boolean(), says: z.string() }) },
      },
    },
    async ({ access, ip, body: { channel } }) => {
      if (channel !== 'push' && access.tubs !== null) {
        throw refused('Mail and webhook are the house’s; this phone has a right for some tubs.');
      }
      tries.count(ip);
      const target = channel === 'push' ? phoneOf(access) : HOUSE;
      const outcome = await telling.test(channel, target);
      if (!outcome) return { sent: false, says: nobody[channel] };
      return { sent: outcome.sent, says: outcome.trouble ?? arrived[channel] };
    },
  );
}

const nobody: Record<ChannelName, string> = {
  push: 'This phone takes no notices yet.',
  mail: 'No mail is set up.',
  webhook: 'No webhook is set up.',
};

const arrived: Record<ChannelName, string> = {
  push: 'The phone’s push service took it; it should show in a moment.',
  mail: 'The mail server took it; look in the mailbox.',
  webhook: 'The webhook’s address took it.',
};

const toldRecord = ({ sentAt, waiting, trouble }: ChannelRecord) => ({
  lastSentAt: sentAt === null ? null : iso(sentAt),
  waiting,
  trouble,
});

/** @throws SunsteepError SUNSTEEP_CALL_INVALID for who is no phone */
function phoneOf({ phone }: Access): string {
  if (phone !== null) return phone;
  throw new SunsteepError('SUNSTEEP_CALL_INVALID', 'Only a paired phone can be told by push.');
}
