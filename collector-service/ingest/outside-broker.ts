import { randomBytes } from 'node:crypto';
import type { MqttClient } from 'mqtt';
import type { Clock } from '../clock.ts';
import { type BrokerAddress, brokerAddress } from './broker-address.ts';
import { type BrokerLogin, connectTo } from './broker-client.ts';
import type { Hearing, HearingHealth, Overheard } from './hearing.ts';
import type { Intake } from './intake.ts';
import { linkTrouble, mayRefuseVersion } from './link-trouble.ts';
import { OutsideLink } from './outside-link.ts';
import { withoutCovered } from './topic-filters.ts';

export interface OutsideBrokerOptions {
  intake: Intake;
  clock: Clock;
  /** mqtt:// or mqtts:// */
  url: string;
  username: string | null;
  password: string | null;
  /** Always the same for one data folder: under this name the broker keeps what we miss. */
  clientId: string;
}

/** Pauses between tries to connect [ms]: each twice the one before. */
const FIRST_PAUSE = 1_000;
const LONGEST_PAUSE = 30_000;

/** After a connection that stood for so long the pauses begin anew [ms]. */
const GOOD_CONNECTION = 10_000;

/** What is always heard. */
const OURS = 'sunsteep/#';

/** A broker elsewhere, MQTT 5 or 3.1.1; where it is away it is tried again and again. */
export class OutsideBroker implements Hearing {
  private readonly options: OutsideBrokerOptions;
  private readonly address: BrokerAddress;
  private filters: ReadonlySet<string> = new Set([OURS]);
  private version: 4 | 5 = 5;
  private link: OutsideLink | null = null;
  private retry: NodeJS.Timeout | null = null;
  private pause = FIRST_PAUSE;
  private closing = false;
  private started: () => void = () => {};
  private trouble: string | null;
  private since: number;
  private readonly overhearing = new Set<MqttClient>();

  constructor(options: OutsideBrokerOptions) {
    this.options = options;
    this.address = brokerAddress(options.url);
    this.since = options.clock.now();
    this.trouble = `The broker ${this.address.shown} has not answered yet.`;
  }

  /** Resolves when the first try to connect has come to an end; others follow by themselves. */
  start(): Promise<void> {
    const started = new Promise<void>((resolve) => {
      this.started = resolve;
    });
    this.connect();
    return started;
  }

  report(topic: string, payload: string): void {
    this.link?.report(topic, payload);
  }

  rewire(topics: readonly string[]): void {
    this.filters = withoutCovered([OURS, ...topics]);
    this.link?.hear(this.filters);
  }

  /** On a connection of its own, so that no message is delivered twice to the one that is kept. */
  listen(hear: (message: Overheard) => void): () => void {
    const clientId = `${this.options.clientId}-${randomBytes(4).toString('hex')}`;
    const client = connectTo({ ...this.login(), clientId }, { clean: true });
    this.overhearing.add(client);
    client.on('connect', () => client.subscribe('#', { qos: 0 }));
    client.on('message', (topic, payload, { retain }) => hear({ topic, payload, earlier: retain }));
    client.on('error', () => {}); // the link of its own right tells what is wrong
    return () => {
      this.overhearing.delete(client);
      client.end(true);
    };
  }

  health(): HearingHealth {
    return { trouble: this.trouble, since: this.since, refused: [] };
  }

  async close(): Promise<void> {
    this.closing = true;
    if (this.retry !== null) clearTimeout(this.retry);
    for (const client of this.overhearing) client.end(true);
    this.overhearing.clear();
    await this.link?.end();
  }

  private login(): BrokerLogin {
    const { username, password, clientId } = this.options;
    return { address: this.address, version: this.version, username, password, clientId };
  }

  private connect(): void {
    this.link = new OutsideLink(this.login(), this.filters, this.options.intake, {
      up: () => {
        this.stands(null);
        this.started();
      },
      ails: (what) => this.stands(what && `The broker ${this.address.shown} ${what}.`),
      down: (error, accepted) => this.down(error, accepted),
    });
  }

  private down(error: unknown, accepted: boolean): void {
    this.link = null;
    if (accepted && this.options.clock.now() - this.since >= GOOD_CONNECTION) {
      this.pause = FIRST_PAUSE;
    }
    this.stands(linkTrouble(this.address.shown, error, accepted));
    this.started();
    if (this.closing) return;
    if (!accepted && mayRefuseVersion(error)) this.version = this.version === 5 ? 4 : 5;
    this.retry = setTimeout(() => this.connect(), this.pause);
    this.pause = Math.min(2 * this.pause, LONGEST_PAUSE);
  }

  private stands(trouble: string | null): void {
    const turned = (trouble === null) !== (this.trouble === null);
    this.trouble = trouble;
    if (turned) this.since = this.options.clock.now();
  }
}
