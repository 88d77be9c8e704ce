import { randomBytes, randomInt } from 'node:crypto';
import { statSync } from 'node:fs';
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Logger } from 'pino';
import type { Clock } from './clock.ts';
import { refuseMixing } from './demo/kind.ts';
import { PASSWORD_FILE } from './ingest/broker-users.ts';
import { willTopics } from './ingest/decode.ts';
import { EmbeddedBroker } from './ingest/embedded-broker.ts';
import type { Hearing } from './ingest/hearing.ts';
import { Intake } from './ingest/intake.ts';
import { OutsideBroker } from './ingest/outside-broker.ts';
import { Overhearing } from './ingest/overhearing.ts';
import { channels } from './notify/channels.ts';
import { vapidKeys } from './notify/push.ts';
import { Reports } from './notify/reports.ts';
import { Telling } from './notify/telling.ts';
import { buildApp } from './serve/app.ts';
import { freeDiskMb } from './serve/free-disk.ts';
import { hangUp, listen } from './serve/listening.ts';
import type { App } from './serve/parts.ts';
import { lockTaken, takeServiceLock } from './service-lock.ts';
import type { Settings } from './settings.ts';
import { openStore } from './store/sqlite-store.ts';
import type { Store } from './store/store.ts';
import { outsideSigns } from './watch/outside-signs.ts';
import { Watch } from './watch/watch.ts';

const TICK_MS = 1000;
const HOUSEKEEPING_MS = 2_000;
const TELLING_MS = 10_000;
const CLIENT_ID = 'mqtt client id';

/** The running program, put together: what hears, keeps, works out and serves. */
export interface Service {
  store: Store;
  intake: Intake;
  watch: Watch;
  hearing: Hearing;
  app: App;
  /** Where the embedded broker listens, and the password of `sensor`; null with an outside one. */
  broker: { port: number; tlsPort: number | null; password: string } | null;
  /** The port that phones use. */
  port: number;
  stop(): Promise<void>;
}

export interface ServiceParts {
  settings: Settings;
  clock: Clock;
  log: Logger;
  demo: boolean;
}

/** Starts the service; resolves once it hears (or tries to reach its broker) and serves. */
export async function startService({ settings, clock, log, demo }: ServiceParts): Promise<Service> {
  const unlock = takeServiceLock(settings.data);
  if (!unlock) throw lockTaken(settings.data);
  const ends: (() => unknown)[] = [unlock];
  const stop = async () => {
    for (const end of ends.splice(0).reverse()) await end();
  };
  try {
    const store = openStore(settings.data);
    ends.push(() => store.close());
    await refuseMixing(store, demo, settings.data);
    const intake = await Intake.open(store, clock, builtAt());
    const watch = new Watch({
      store,
      clock,
      earlier: (tub) => intake.lastKnown.of(tub),
      outside: ({ id, boards }) =>
        outsideSigns(boards, intake.wills, hearing.health(), intake.clocks.of(id)),
      failed: (error) => log.error({ err: error }, 'working out failed'),
    });
    await watch.start();
    ends.push(() => watch.stop());

    const password = settings.broker && (await sensorPassword(settings));
    const hearing = password
      ? embeddedBroker(settings, intake, clock, password)
      : await outsideBroker(settings, store, intake, clock);
    watch.onSetup((setup) => {
      intake.setUp(setup);
      hearing.rewire([...(setup.wiring ?? []).map((wire) => wire.topic), ...willTopics(setup)]);
    });
    intake.onKept((kept) => watch.heard(kept));
    const heedDisk = async () => {
      const freeMb = await freeDiskMb(settings.data);
      intake.hold(freeMb !== null && freeMb < MB_KEPT_FREE);
    };
    await heedDisk();
    await hearing.start();
    ends.push(
      () => hearing.close(),
      () => intake.settled(),
    );
    const overhearing = new Overhearing(hearing, clock);
    ends.push(() => overhearing.stop());
    const reports = new Reports(hearing, watch);
    ends.push(() => reports.stop());
    const keys = await vapidKeys(store);
    const setup = () => watch.setup().setup;
    const telling = new Telling({
      store,
      clock,
      setup,
      isUpToDate: (tub) => watch.isUpToDate(tub),
      channels: channels({ store, clock, setup, keys, url: settings.url }),
      log,
    });
    ends.push(() => telling.stop());
    const forget = (tub: string) => {
      intake.forget(tub);
      reports.forget(tub);
    };

    const broker = () =>
      hearing instanceof EmbeddedBroker
        ? { port: hearing.ports[0]!, tlsPort: hearing.ports[1] ?? null, password: password! }
        : null;
    const app = await buildApp({
      store,
      watching: watch,
      clock,
      settings,
      hearingHealth: () => hearing.health(),
      overhearing,
      intakeHealth: () => intake.health(),
      freeDiskMb: () => freeDiskMb(settings.data),
      forgetTub: async (tub) => {
        await store.forgetTub(tub);
        forget(tub);
      },
      embeddedBroker: broker,
      telling,
      pushKey: keys.publicKey,
      webFolder: fileURLToPath(new URL('../web', import.meta.url)),
      demo,
      log,
    });
    const port = await listen(app, settings);
    ends.push(() => hangUp(app));

    const notTold = (error: unknown) => log.error({ err: error }, 'telling failed');
    ends.push(
      watch.onAlert(() => void telling.pass().catch(notTold)),
      every(TELLING_MS, log, () => telling.pass()),
      every(TICK_MS, log, () => watch.tick()),
      every(HOUSEKEEPING_MS, log, async () => {
        await heedDisk();
        for (const tub of await watch.forgetStrangers()) forget(tub);
      }),
    );
    return { store, intake, watch, hearing, app, broker: broker(), port, stop };
  } catch (error) {
    await stop();
    throw error;
  }
}

/** Below this nothing new is acknowledged [MB]. */
const MB_KEPT_FREE = 100;

/** Runs work again and again, each run after the last has ended; returns what ends it. */
function every(ms: number, log: Logger, work: () => Promise<void>): () => Promise<void> {
  let running: Promise<void> = Promise.resolve();
  let timer: NodeJS.Timeout | null = null;
  const wait = () => {
    timer = setTimeout(() => {
      running = work()
        .catch((error: unknown) => log.error({ err: error }, 'housekeeping failed'))
        .then(() => {
          if (timer) wait();
        });
    }, ms);
  };
  wait();
  return () => {
    if (timer) clearTimeout(timer);
    timer = null;
    return running;
  };
}

/** When this program was built: a clock that stands before that is plainly wrong. */
function builtAt(): number {
  return statSync(fileURLToPath(import.meta.url)).mtimeMs;
}

function embeddedBroker(settings: Settings, intake: Intake, clock: Clock, password: string) {
  const { host, port, tlsPort, readerPassword } = settings.broker!;
  return new EmbeddedBroker({
    intake,
    clock,
    host,
    port,
    passwords: { sensor: password, reader: readerPassword },
    tls: settings.tls && { port: tlsPort, ...settings.tls },
  });
}

async function outsideBroker(settings: Settings, store: Store, intake: Intake, clock: Clock) {
  const known = await store.note(CLIENT_ID);
  const clientId = known ?? `sunsteep-${randomBytes(6).toString('hex')}`;
  if (!known) await store.putNote(CLIENT_ID, clientId);
  return new OutsideBroker({ ...settings.outsideBroker!, clientId, intake, clock });
}

/** The password of the user `sensor`: as set, or made once and kept where only the owner can read. */
async function sensorPassword(settings: Settings): Promise<string> {
  if (settings.broker!.password !== null) return settings.broker!.password;
  const file = join(settings.data, PASSWORD_FILE);
  const kept = await readFile(file, 'utf8').catch(() => null);
  if (kept?.trim()) return kept.trim();
  const letters = Array.from({ length: 12 }, () => ALPHABET[randomInt(ALPHABET.length)]).join('');
  const password = letters.replace(/(.{4})(?=.)/g, '$1-');
  await writeFile(file, `${password}\n`, { mode: 0o600 });
  return password;
}

/** Letters and digits that nobody mistakes for one another: 12 of them are 59 random bits. */
const ALPHABET = 'abcdefghjkmnpqrstuvwxyz23456789';
