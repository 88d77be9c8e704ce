import type { AddressInfo } from 'node:net';
import { SunsteepError } from '../errors.ts';
import type { Settings } from '../settings.ts';
import type { App } from './parts.ts';

/**
 * Opens the port of the pages.
 *
 * @returns the port that was opened, also where the setting leaves the choice to the system
 * @throws SunsteepError SUNSTEEP_PORT_TAKEN where another program has it, or it is not ours to take
 */
export async function listen(app: App, { host, port }: Settings): Promise<number> {
  try {
    // one name, one server: a second one for the other family would lack the sockets
    await app.listen({ host: host === 'localhost' ? '127.0.0.1' : host, port });
  } catch (cause) {
    throw new SunsteepError('SUNSTEEP_PORT_TAKEN', refusal(host, port, cause), { cause });
  }
  return (app.server.address() as AddressInfo).port;
}

/** How long requests that are under way may take to end when the service does [ms]. */
const LAST_REQUESTS = 2_000;

/** Ends what is served; a request that is only half sent holds nothing up. */
export async function hangUp(app: App): Promise<void> {
  const force = setTimeout(() => app.server.closeAllConnections(), LAST_REQUESTS);
  await app.close();
  clearTimeout(force);
}

function refusal(host: string, port: number, cause: unknown): string {
  const { code } = cause as NodeJS.ErrnoException;
  const why =
    code === 'EADDRINUSE'
      ? 'another program listens there'
      : code === 'EACCES'
        ? 'only the system’s own programs may'
        : `the system says ${code ?? String(cause)}`;
  return `SUNSTEEP_HOST ${host} and SUNSTEEP_PORT ${port} cannot be listened on: ${why}. Set another.`;
}
