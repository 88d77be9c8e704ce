import { networkInterfaces } from 'node:os';
import QRCode from 'qrcode';
import { systemClock } from '../clock.ts';
import { makeLog } from '../serve/log.ts';
import { makeLink } from '../serve/pairing.ts';
import type { Service } from '../service.ts';
import { readSettings, type Settings } from '../settings.ts';
import { type Command, callInvalid, type Io, parsed } from './command.ts';

const DEMO_DATA = './demo-data';
const FIRST_LINK = 'first link printed';

export const serve: Command = {
  name: 'serve',
  usage: '[--demo]',
  summary: 'runs the service; --demo with a simulated tub, in a data folder of its own',
  async run(args, io) {
    const { values } = parsed(serve, { args, options: { demo: { type: 'boolean' } } });
    const settings = readSettings(io.env);
    const demo = values.demo ?? false;
    if (demo && settings.outsideBroker) {
      throw callInvalid(serve, 'a demonstration speaks to its own broker: unset SUNSTEEP_MQTT_URL');
    }
    if (demo && io.env.SUNSTEEP_DATA === undefined) settings.data = DEMO_DATA;
    // Loaded here, so that every other command starts in a third of the time.
    const { startService } = await import('../service.ts');
    const { runDemo } = await import('../demo/run.ts');
    const log = makeLog(settings.logLevel);
    const service = await startService({ settings, clock: systemClock, log, demo });
    const asked = askedToStop();
    const endDemo = demo ? await runDemo(service, systemClock, log) : async () => {};
    await greet(service, settings, io);
    await asked;
    await endDemo();
    await service.stop();
  },
};

/** At the first start the one link that pairs the first phone; never in the log. */
async function greet(service: Service, settings: Settings, io: Io): Promise<void> {
  const url = phonesUrl(settings, service.port);
  io.out(`Sunsteep listens on ${url}\n`);
  if ((await service.store.note(FIRST_LINK)) !== null) return;
  await service.store.putNote(FIRST_LINK, new Date(systemClock.now()).toISOString());
  const rights = { right: 'full', tubs: null, until: null } as const;
  const { link } = await makeLink(service.store, systemClock, url, rights);
  io.out(await linkWithCode(link));
}

/** A link with its QR code, for a terminal. */
export async function linkWithCode(link: string): Promise<string> {
  const code = await QRCode.toString(link, { type: 'utf8', errorCorrectionLevel: 'L' });
  return `\nOpen this link on the phone, or scan the code. It is good once, for ten minutes.\n\n${link}\n\n${code}\n`;
}

/** The address that phones reach the service at: as set, else this machine's own in the home. */
export function phonesUrl(settings: Settings, port: number): string {
  if (settings.url !== null) return settings.url;
  const scheme = settings.tls ? 'https' : 'http';
  const listensOn = ['0.0.0.0', '::'].includes(settings.host) ? homeAddress() : settings.host;
  const host = listensOn.includes(':') ? `[${listensOn}]` : listensOn;
  return `${scheme}://${host}:${port}`;
}

function homeAddress(): string {
  const addresses = Object.values(networkInterfaces()).flatMap((found) => found ?? []);
  const reachable = addresses.find(({ family, internal }) => family === 'IPv4' && !internal);
  return reachable?.address ?? 'localhost';
}

function askedToStop(): Promise<void> {
  return new Promise((resolve) => {
    process.once('SIGINT', () => resolve());
    process.once('SIGTERM', () => resolve());
  });
}
