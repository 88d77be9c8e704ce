import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { mkdir } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import type { IntakeHealth } from '../../../collector-service/ingest/intake.ts';
import { Overhearing } from '../../../collector-service/ingest/overhearing.ts';
import { channels } from '../../../collector-service/notify/channels.ts';
import { vapidKeys } from '../../../collector-service/notify/push.ts';
import { Telling } from '../../../collector-service/notify/telling.ts';
import { buildApp } from '../../../collector-service/serve/app.ts';
import { makeLog } from '../../../collector-service/serve/log.ts';
import { makeLink, type Rights } from '../../../collector-service/serve/pairing.ts';
import type { App, Parts } from '../../../collector-service/serve/parts.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store } from '../../../collector-service/store/store.ts';
import { FakeWatching } from './fake-watching.ts';

export const TOKEN = 'a-token-for-scripts-of-these-tests-alone';
export const T0 = Date.parse('2026-03-01T02:00:00Z');

export interface House {
  app: App;
  parts: Parts;
  store: Store;
  watching: FakeWatching;
  clock: { now(): number; t: number };
  forgotten: string[];
  /** Every line that was logged. */
  logged: string[];
  /** Pairs a phone as a person would; gives what its browser then sends. */
  pair(rights?: Partial<Rights>): Promise<{ id: string; cookie: string }>;
  close(): Promise<void>;
}

export const healthyIntake: IntakeHealth = {
  heard: 3,
  oldestUnacknowledgedS: null,
  keeping: true,
  trouble: null,
  why: null,
  clockWrong: false,
};

export const viewer: Partial<Rights> = { right: 'viewer' };

/** The HTTP side with a real store in a temporary folder, a clock that is set by hand, and no broker. */
export async function openHouse(change: Partial<Parts> = {}): Promise<House> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-serve-'));
  const webFolder = join(folder, 'web');
  await mkdir(join(webFolder, 'assets'), { recursive: true });
  writeFileSync(join(webFolder, 'index.html'), '<!doctype html><title>Sunsteep</title>');
  writeFileSync(join(webFolder, 'assets', 'main-Ab12.js'), `export {};\n//${'x'.repeat(5000)}`);
  writeFileSync(join(folder, 'outside.html'), 'outside');

  const store = openStore(folder);
  const watching = new FakeWatching();
  const clock = { t: T0, now: () => clock.t };
  const forgotten: string[] = [];
  const logged: string[] = [];
  const lines = new Writable({
    write: (chunk, _encoding, done) => {
      logged.push(String(chunk));
      done();
    },
  });
  const log = makeLog('debug', lines);
  const keys = await vapidKeys(store);
  const setup = () => watching.setup().setup;
  const parts: Parts = {
    store,
    watching,
    clock,
    settings: { url: null, token: TOKEN, tls: null, outsideBroker: null, logLevel: 'debug' },
    hearingHealth: () => ({ trouble: null, since: T0, refused: [] }),
    intakeHealth: () => healthyIntake,
    overhearing: new Overhearing({ listen: () => () => {} }, clock),
    freeDiskMb: async () => 10_000,
    forgetTub: async (tub) => void forgotten.push(tub),
    embeddedBroker: () => ({ port: 1883, tlsPort: null, password: 'for-the-boards' }),
    telling: new Telling({
      ...{ store, clock, setup, log, isUpToDate: () => true },
      channels: channels({ store, clock, setup, keys, url: null }),
    }),
    pushKey: keys.publicKey,
    webFolder,
    demo: false,
    log,
    ...change,
  };
  const app = await buildApp(parts);

  async function pair(rights: Partial<Rights> = {}) {
    const all = { right: 'full' as const, tubs: null, until: null, ...rights };
    const { link } = await makeLink(store, clock, 'http://tub.test', all);
    const payload = { code: link.split('#')[1] };
    // each from an address of its own, so that no test meets the limit of another
    const remoteAddress = `127.0.1.${++addresses % 250}`;
    const answer = await app.inject({ method: 'POST', url: '/api/pair', payload, remoteAddress });
    if (answer.statusCode !== 200) throw new Error(answer.body);
    const cookie = String(answer.headers['set-cookie']).split(';')[0]!;
    return { id: answer.json().id as string, cookie };
  }
  let addresses = 0;

  async function close() {
    await app.close();
    await store.close();
    rmSync(folder, { recursive: true });
  }
  return { app, parts, store, watching, clock, forgotten, logged, pair, close };
}

/** What a script sends along. */
export const asScript = { authorization: `Bearer ${TOKEN}` };

/** What one of our own pages sends along; inject speaks to the host localhost:80. */
export const asPage = (cookie: string) => ({ cookie, origin: 'http://localhost' });
