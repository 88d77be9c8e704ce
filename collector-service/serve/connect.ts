import { z } from 'zod';
import { connectSchema } from '../../model/shapes.ts';
import type { App, Parts } from './parts.ts';
import { addressOf } from './phones.ts';
import { iso } from './spans.ts';

const MQTT = 1883; // IANA: mqtt
const MQTT_TLS = 8883; // IANA: secure-mqtt

const answer = connectSchema.extend({
  since: z.iso.datetime().describe('since when the link stands as it does'),
});

/** What to enter in a board so that it is heard; it holds the password, so it needs the whole house. */
export function connectRoutes(api: App, parts: Parts): void {
  api.get(
    '/connect',
    {
      config: { needs: 'full-for-all' },
      schema: {
        summary: 'Where and with what password boards publish, and which logins were refused',
        response: { 200: answer },
      },
    },
    async (request) => {
      const { trouble, since, refused } = parts.hearingHealth();
      return {
        ...brokerFor(parts, new URL(addressOf(request, parts.settings.url)).hostname),
        trouble,
        since: iso(since),
        refused: refused.map(({ address, user, at, why }) => ({ address, user, at: iso(at), why })),
      };
    },
  );
}

function brokerFor({ embeddedBroker, settings }: Parts, ourHost: string) {
  const ours = embeddedBroker();
  if (ours) return { embedded: true, host: ourHost, user: 'sensor', ...ours };
  const { hostname, port, protocol } = new URL(settings.outsideBroker!.url);
  const tls = protocol === 'mqtts:';
  const number = port === '' ? (tls ? MQTT_TLS : MQTT) : Number(port);
  const tlsPort = tls ? number : null;
  return { embedded: false, host: hostname, port: number, tlsPort, user: '', password: null };
}
