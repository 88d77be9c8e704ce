import type { Setup } from '../../model/setup.ts';
import type { Fault } from '../errors.ts';

/** What the set-up holds that is written and never read back: where it stands. */
const places = [
  { channel: 'mail', key: 'password' },
  { channel: 'webhook', key: 'secret' },
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
  for (const { channel, key } of places) {
    const settings = channelOf(setup, channel);
    const given = settings?.[key];
    if (!settings || typeof given !== 'object' || given === null) continue;
    const kept = channelOf(stored, channel)?.[key];
    delete settings[key];
    if ((given as { set: boolean }).set === false) continue;
    if (typeof kept === 'string') settings[key] = kept;
    else faults.push({ path: `/notify/${channel}/${key}`, why: 'there is none kept; send one' });
  }
  return { setup, faults };
}
