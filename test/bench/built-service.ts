import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Setup } from '../../model/setup.ts';
import { newFolder, type Started, startProgram, until } from '../service/live/program.ts';

/** The built service as a process of its own, on free ports, with a data folder of its own. */

const token = 'a-token-for-the-bench-and-the-checks-alone';

/** How long any work of the service that is waited for may take on a busy machine [ms]. */
const PATIENCE = 600_000;

/** Where boards publish. */
export interface Login {
  port: number;
  username?: string;
  password?: string;
}

export class BuiltService {
  private readonly data: string;
  private readonly started: Started;
  private readonly url: string;

  private constructor(data: string, started: Started, url: string) {
    this.data = data;
    this.started = started;
    this.url = url;
  }

  /** @param mqttUrl  of an outside broker; the embedded one where it is left out */
  static async start({ demo = false, mqttUrl }: { demo?: boolean; mqttUrl?: string | undefined }) {
    const data = newFolder();
    const started = startProgram(['serve', ...(demo ? ['--demo'] : [])], {
      SUNSTEEP_DATA: data,
      SUNSTEEP_HOST: '127.0.0.1',
      SUNSTEEP_PORT: '0',
      SUNSTEEP_TOKEN: token,
      SUNSTEEP_LOG_LEVEL: 'warn',
      ...(mqttUrl === undefined
        ? { SUNSTEEP_BROKER_HOST: '127.0.0.1', SUNSTEEP_BROKER_PORT: '0' }
        : { SUNSTEEP_MQTT_URL: mqttUrl }),
    });
    const [, url] = await started.says(/listens on (\S+)/);
    return new BuiltService(data, started, url!);
  }

  /** Where phones find it. */
  get address(): string {
    return this.url;
  }

  get pid(): number {
    return this.started.process.pid!;
  }

  async api<T>(path: string, init: RequestInit = {}): Promise<T> {
    const headers = { authorization: `Bearer ${token}`, 'content-type': 'application/json' };
    const answer = await fetch(`${this.url}${path}`, { ...init, headers });
    if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
    return (await answer.json()) as T;
  }

  /** Puts a set-up in force for always, and waits until messages can arrive. */
  async setUp(setup: Setup): Promise<void> {
    await this.api('/api/setup?from=always', { method: 'PUT', body: JSON.stringify(setup) });
    type Health = { broker: { status: 'ok' | 'trouble' } };
    await until('the link to the broker', async () => {
      return (await this.api<Health>('/health')).broker.status === 'ok';
    });
  }

  async login(): Promise<Login> {
    type Connect = { port: number; user: string; password: string | null };
    const { port, user, password } = await this.api<Connect>('/api/connect');
    return password === null ? { port } : { port, username: user, password };
  }

  /** Waits until so many readings are on disk, as a connection of its own to the store sees it. */
  async kept(readings: number): Promise<void> {
    // By the roll-ups: they are written with the readings, and quickly summed.
    const sum = 'SELECT ifnull(sum(n), 0) FROM rollup';
    await this.stored(`${readings} readings on disk`, sum, (kept) => kept >= readings);
  }

  /** Waits until all that changed has been worked out. */
  async workedOut(): Promise<void> {
    await this.stored('the ledger', 'SELECT count(*) FROM dirty', (marks) => marks === 0);
  }

  private async stored(what: string, sql: string, isSo: (value: number) => boolean): Promise<void> {
    const store = new Database(join(this.data, 'sunsteep.db'), { readonly: true });
    try {
      const value = store.prepare(sql).pluck();
      await until(what, () => isSo(value.get() as number), PATIENCE);
    } finally {
      store.close();
    }
  }

  async stop(): Promise<void> {
    this.started.process.kill('SIGTERM');
    const code = await this.started.ended;
    const said = this.started.err().trim();
    if (code !== 0 || said !== '') throw new Error(`the service ended with ${code}: ${said}`);
  }
}
