import type { Setup } from '../../model/setup.ts';
import type { Fault } from '../errors.ts';

/**
 * What the set-up holds that is written and never read back: where it stands, and with what it belongs
 * together. A password that goes to its server must not be led to another one by who cannot read it;
 * a secret that signs never leaves the house.
 */
const places = [
  { channel: 'mail', key: 'password', boundTo: ['host', 'port', 'secure', 'user'] },
  { channel: 'webhook', key: 'secret', boundTo: [] },
] as const;

type Channel = Record<string, unknown>;

const channelOf = (setup: Setup, name: (typeof places)[number]['channel']): Channel | null =>
  (setup.notify?.[name] as Channel | null | undefined) ?? null;

/** The set-up as it is shown: of a secret no more than that there is one. */
export function withoutSecrets(setup: Setup): Setup {
  const shown = structuredClone(setup);
  for (const { channel, key } of places) {
    const settings = channelOf(shown, channel);
    if (typeof settings?.[key] === 'string') settings[key] = { set: true };
  }
  return shown;
}

/**
 * The set-up as it is to be kept: where the sender saw no more of a secret than `{ "set": true }`,
 * the stored one stands; `{ "set": false }` takes it away.
 */
export function withStoredSecrets(sent: Setup, stored: Setup): { setup: Setup; faults: Fault[] } {
  const setup = structuredClone(sent);
  const faults: Fault[] = [];
  for (const { channel, key, boundTo } of places) {
    const settings = channelOf(setup, channel);
    const given = settings?.[key];
    if (!settings || typeof given !== 'object' || given === null) continue;
    const before = channelOf(stored, channel);
    const kept = before?.[key];
    delete settings[key];
    if ((given as { set: boolean }).set === false) continue;
    const path = `/notify/${channel}/${key}`;
    if (boundTo.some((name) => typeof kept === 'string' && before![name] !== settings[name])) {
      faults.push({
        path,
        why: `send it again: ${boundTo.join(', ')} are no longer what they were`,
      });
    } else if (typeof kept === 'string') settings[key] = kept;
    else faults.push({ path, why: 'there is none kept; send one' });
  }
  return { setup, faults };
}
