import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { connectAsync, type MqttClient } from 'mqtt';
import { expect } from 'vitest';
import type { TubSetup } from '../../../model/setup.ts';
import type { Day, DayWithQuarters, Now } from '../../../model/shapes.ts';
import { publish as mosquittoPub } from '../mosquitto.ts';
import { type Env, newFolder, run, type Started, startProgram, until } from './program.ts';

export const TOKEN = 'a-token-for-scripts-of-these-tests-alone';

/** A service that runs, and what one can ask of it from outside. */
export interface House {
  folder: string;
  url: string;
  port: number;
  started: Started;
  /** Where boards publish, and with what password. */
  broker: { port: number; password: string | null };
  /** Calls the API with the token, unless other headers are given. */
  call(method: string, path: string, body?: unknown, headers?: Env): Promise<Answer>;
  /** What a GET gives; fails where it is refused. */
  get<T>(path: string): Promise<T>;
  days(tub: string): Promise<Day[]>;
  day(tub: string, date: string): Promise<DayWithQuarters>;
  now(tub: string): Promise<Now>;
  unreadable(): Promise<Unreadable[]>;
  /** As an owner stops it; resolves with the exit code. */
  stop(): Promise<number | null>;
  /** As a power cut does. */
  kill(): Promise<void>;
}

export interface Answer {
  status: number;
  headers: Headers;
  // biome-ignore lint/suspicious/noExplicitAny: whatever the service answers is looked into by tests
  body: any;
  text: string;
}

export interface Unreadable {
  topic: string;
  payload: string;
  why: string;
  count: number;
  first: string;
  last: string;
}

interface Options {
  folder?: string;
  /** Ports that stay the same over a restart; left out: any free ones. */
  port?: number;
  brokerPort?: number;
  demo?: boolean;
  env?: Env;
  /** Another copy of the program. */
  main?: string;
}

/** Starts the service and waits until it serves. */
export async function openHouse(options: Options = {}): Promise<House> {
  const folder = options.folder ?? newFolder();
  const { port = 0, brokerPort = 0, demo = false, env = {} } = options;
  const settings = {
    SUNSTEEP_DATA: folder,
    SUNSTEEP_HOST: '127.0.0.1',
    SUNSTEEP_PORT: String(port),
    SUNSTEEP_BROKER_HOST: '127.0.0.1',
    SUNSTEEP_BROKER_PORT: String(brokerPort),
    SUNSTEEP_TOKEN: TOKEN,
    ...env,
  };
  const args = ['serve', ...(demo ? ['--demo'] : [])];
  const started = startProgram(args, settings, undefined, options.main);
  const [, url] = (await started.says(/listens on (\S+)/)) as unknown as [string, string];
  const call = caller(url);
  const get = async <T>(path: string): Promise<T> => {
    const { status, body, text } = await call('GET', path);
    if (status !== 200) throw new Error(`GET ${path} gave ${status}: ${text}`);
    return body as T;
  };
  const { port: heardOn, password } = await get<House['broker']>('/api/connect');
  return {
    folder,
    url,
    port: Number(new URL(url).port),
    started,
    broker: { port: heardOn, password },
    call,
    get,
    days: async (tub) => (await get<{ items: Day[] }>(`/api/tubs/${tub}/days`)).items,
    day: (tub, date) => get(`/api/tubs/${tub}/days/${date}`),
    now: (tub) => get(`/api/tubs/${tub}/now`),
    unreadable: async () => (await get<{ items: Unreadable[] }>('/api/unreadable')).items,
    async stop() {
      started.process.kill('SIGTERM');
      return started.ended;
    },
    async kill() {
      started.process.kill('SIGKILL');
      await started.ended;
    },
  };
}

function caller(url: string): House['call'] {
  return async (method, path, body, headers = { authorization: `Bearer ${TOKEN}` }) => {
    const sent = body === undefined ? {} : { body: JSON.stringify(body) };
    const type: Env = body === undefined ? {} : { 'content-type': 'application/json' };
    const response = await fetch(url + path, { method, headers: { ...type, ...headers }, ...sent });
    const text = await response.text();
    const isJson = /json/.test(response.headers.get('content-type') ?? '');
    return {
      status: response.status,
      headers: response.headers,
      body: isJson ? JSON.parse(text) : undefined,
      text,
    };
  };
}

export const kowhaiPlace = {
  latitude: -41.27,
  longitude: 173.28,
  elevationM: 40,
  timeZone: 'Pacific/Auckland',
};

/** Sets tubs up beside those that are set up already; in force for always. */
export async function setUp(house: House, ...tubs: TubSetup[]): Promise<void> {
  const setup = await house.get<{ tubs: TubSetup[] }>('/api/setup');
  const others = setup.tubs.filter(({ id }) => !tubs.some((tub) => tub.id === id));
  const put = await house.call('PUT', '/api/setup?from=always', {
    ...setup,
    tubs: [...others, ...tubs],
  });
  expect(put.status, put.text).toBe(200);
}

/** A board that publishes at QoS 1; each publish resolves with the acknowledgement. */
export async function openBoard(house: House): Promise<MqttClient> {
  return connectAsync(`mqtt://127.0.0.1:${house.broker.port}`, {
    username: 'sensor',
    password: house.broker.password!,
    reconnectPeriod: 0,
  });
}

/** Publishes as a person at a shell would. */
export async function publish(house: House, topic: string, ...more: string[]): Promise<void> {
  const login = ['-u', 'sensor', '-P', house.broker.password!, '-q', '1', '-t', topic];
  const { code, output } = await mosquittoPub(house.broker.port, [...login, ...more]);
  if (code !== 0) throw new Error(`mosquitto_pub ended with ${code}: ${output}`);
}

export const passwordIn = (folder: string): string =>
  readFileSync(join(folder, 'broker-password'), 'utf8').trim();

/** Readings of a tub in pages, oldest first. */
export async function readingsOf(house: House, tub: string, query: string) {
  const items: { point: string; time: string; value: number }[] = [];
  for (let next: string | null = ''; next !== null; ) {
    const cursor: string = next === '' ? '' : `&cursor=${next}`;
    const page: { items: typeof items; next: string | null } = await house.get(
      `/api/tubs/${tub}/readings?buckets=0&${query}${cursor}`,
    );
    items.push(...page.items);
    next = page.next;
  }
  return items;
}

/** Waits until a tub's day has the figures that are looked for. */
export const dayWhen = (
  house: House,
  tub: string,
  date: string,
  is: (day: DayWithQuarters) => boolean,
): Promise<DayWithQuarters> =>
  until(`day ${date} of ${tub}`, async () => {
    const { status, body } = await house.call('GET', `/api/tubs/${tub}/days/${date}`);
    return status === 200 && is(body) ? (body as DayWithQuarters) : null;
  });

/** Waits until everything that was heard is worked out: `import` does, and here brings nothing. */
export async function settled(house: Pick<House, 'folder'>): Promise<void> {
  const nothing = join(house.folder, 'nothing.csv');
  writeFileSync(nothing, 'time,tub,point,value\n');
  const { code, err } = await run(['import', nothing], { SUNSTEEP_DATA: house.folder });
  expect(code, err).toBe(0);
}
