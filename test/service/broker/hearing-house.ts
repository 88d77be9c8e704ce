import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  EmbeddedBroker,
  type EmbeddedBrokerOptions,
} from '../../../collector-service/ingest/embedded-broker.ts';
import { Intake } from '../../../collector-service/ingest/intake.ts';
import { OutsideBroker } from '../../../collector-service/ingest/outside-broker.ts';
import { openStore } from '../../../collector-service/store/sqlite-store.ts';
import type { Store, UnreadableKind } from '../../../collector-service/store/store.ts';
import type { Reading } from '../../../model/readings.ts';
import type { Setup } from '../../../model/setup.ts';

/** The part of the service that hears and keeps, on a real store in a folder of its own. */
export interface House {
  folder: string;
  store: Store;
  intake: Intake;
  /** The system's clock, set ahead by so much [ms]. */
  ahead: { ms: number };
  clock: { now(): number };
  readings(tub?: string): Promise<Reading[]>;
  unreadable(): Promise<UnreadableKind[]>;
  /** Resolves as soon as something new is kept for which `is` holds. */
  until(is: () => Promise<boolean> | boolean): Promise<void>;
}

const setup: Pick<Setup, 'tubs' | 'wiring'> = {
  tubs: [
    {
      id: 'kowhai',
      place: { latitude: -41.27, longitude: 173.28, timeZone: 'Pacific/Auckland' },
    },
  ],
};

const ends: (() => unknown)[] = [];

/** Ends everything that a test opened, the newest first. */
export async function leave(): Promise<void> {
  for (const end of ends.splice(0).reverse()) await end();
}

/** Has something ended when the test is left. */
export function atTheEnd(end: () => unknown): void {
  ends.push(end);
}

export async function openHouse(over: (store: Store) => Store = (store) => store): Promise<House> {
  const folder = mkdtempSync(join(tmpdir(), 'sunsteep-hearing-'));
  atTheEnd(() => rmSync(folder, { recursive: true }));
  const kept = new Set<() => void>();
  const real = openStore(folder);
  atTheEnd(() => real.close());
  const store = over(real);
  const ahead = { ms: 0 };
  const clock = { now: () => Date.now() + ahead.ms };
  const intake = await Intake.open(told(store, kept), clock, 0);
  intake.setUp(setup);
  return {
    folder,
    store,
    intake,
    ahead,
    clock,
    readings: async (tub = 'kowhai') =>
      store.page(tub, await store.points(tub), -8.64e15, 8.64e15, 1e6),
    unreadable: () => store.unreadable(),
    async until(is) {
      for (;;) {
        const news = new Promise<void>((resolve) => {
          kept.add(resolve);
        });
        if (await is()) return;
        await news;
      }
    },
  };
}

/** Tells whoever waits that a transaction has ended. */
function told(store: Store, kept: Set<() => void>): Store {
  return new Proxy(store, {
    get(target, name) {
      if (name !== 'keep') return Reflect.get(target, name).bind(target);
      return async (arrivals: Parameters<Store['keep']>[0]) => {
        try {
          await target.keep(arrivals);
        } finally {
          for (const tell of kept) setImmediate(tell);
          kept.clear();
        }
      };
    },
  });
}

/** A store that takes so long for each transaction [ms]: acknowledging before it shows. */
export const slowStore =
  (ms: number) =>
  (store: Store): Store =>
    new Proxy(store, {
      get(target, name) {
        if (name !== 'keep') return Reflect.get(target, name).bind(target);
        return async (arrivals: Parameters<Store['keep']>[0]) => {
          await new Promise((resolve) => setTimeout(resolve, ms));
          return target.keep(arrivals);
        };
      },
    });

export async function openEmbedded(
  house: House,
  options: Partial<EmbeddedBrokerOptions> = {},
): Promise<EmbeddedBroker & { port: number }> {
  const broker = new EmbeddedBroker({
    intake: house.intake,
    clock: house.clock,
    host: '127.0.0.1',
    port: 0,
    passwords: { sensor: 'hot water', reader: 'just looking' },
    tls: null,
    ...options,
  });
  await broker.start();
  atTheEnd(() => broker.close());
  return Object.assign(broker, { port: broker.ports[0]! });
}

export async function openOutside(
  house: House,
  url: string,
  login: { username: string; password: string } | null = null,
): Promise<OutsideBroker> {
  const { intake, clock } = house;
  const broker = new OutsideBroker({
    intake,
    clock,
    url,
    username: login?.username ?? null,
    password: login?.password ?? null,
    clientId: 'sunsteep-test',
  });
  await broker.start();
  atTheEnd(() => broker.close());
  return broker;
}

/** Resolves once the link to a broker stands, or no longer does. */
export async function untilLinked(broker: OutsideBroker, linked = true): Promise<void> {
  while ((broker.health().trouble === null) !== linked) {
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}
