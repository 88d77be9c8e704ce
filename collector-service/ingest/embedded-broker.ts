import type { EventEmitter } from 'node:events';
import { createServer, type Server, type Socket } from 'node:net';
import { createServer as createTlsServer } from 'node:tls';
import { Aedes, type AuthenticateError, type Client, type PublishPacket } from 'aedes';
import type { Clock } from '../clock.ts';
import { SunsteepError } from '../errors.ts';
import {
  type BrokerUser,
  FailedLogins,
  mayPublish,
  maySubscribe,
  type Passwords,
  userOf,
} from './broker-users.ts';
import { addressOf, ConnectionLimit } from './connection-limit.ts';
import { GuardedStream } from './guarded-stream.ts';
import type { Hearing, HearingHealth, Overheard } from './hearing.ts';
import type { Intake } from './intake.ts';

export interface EmbeddedBrokerOptions {
  intake: Intake;
  clock: Clock;
  host: string;
  /** 0: any free one. */
  port: number;
  /** Of the users `sensor` and `reader`; null: nobody logs in as that user. */
  passwords: Passwords;
  /** MQTT over TLS beside the plain one; null: none. */
  tls: { port: number; cert: string; key: string } | null;
}

/** How long a connection may take to say who it is [ms]. */
const CONNECT_TIMEOUT = 10_000;

/** How long the farewell to readers may take [ms]. */
const FAREWELL = 2_000;

/** After this the system asks whether a quiet peer is still there [ms]. */
const TCP_KEEPALIVE = 60_000;

/** Most topics whose last message is kept for readers that come later, and the longest such message. */
const MOST_RETAINED = 2_000;
const LONGEST_RETAINED = 4_096; // bytes; all of them together fit into what may wait for a reader

/** CONNACK return codes (MQTT 3.1.1 §3.2.2.3). */
const SERVER_UNAVAILABLE = 3;
const BAD_LOGIN = 4;

/**
 * The broker in the service: MQTT 3.1.1, for the boards of a household and for readers.
 *
 * A message is acknowledged, and handed on, once the intake has it on disk: until then the broker's
 * question whether it may be published stays unanswered. Where the store fails the connection ends,
 * so that the board sends again what was not acknowledged.
 *
 * No session outlives its connection: boards subscribe to nothing, and what a reader missed would be
 * kept in memory for as long as it stays away.
 */
export class EmbeddedBroker implements Hearing {
  private readonly options: EmbeddedBrokerOptions;
  private readonly logins: FailedLogins;
  private readonly limit = new ConnectionLimit();
  private readonly users = new WeakMap<Client, BrokerUser>();
  private readonly retained = new Set<string>();
  private readonly listeners = new Set<(message: Overheard) => void>();
  private aedes: Aedes | null = null;
  private servers: Server[] = [];
  private since: number;

  constructor(options: EmbeddedBrokerOptions) {
    this.options = options;
    this.logins = new FailedLogins(options.clock);
    this.since = options.clock.now();
  }

  /** Fails with SUNSTEEP_PORT_TAKEN where another program has a port. */
  async start(): Promise<void> {
    const { host, port, tls } = this.options;
    const aedes = await this.createBroker();
    this.aedes = aedes;
    const accept = (socket: Socket) => {
      const stream = new GuardedStream(socket, 4, () => this.options.intake.room());
      aedes.handle(stream as unknown as Socket);
    };
    try {
      await this.serve(createServer(accept), host, port);
      if (tls !== null) {
        const { cert, key } = tls;
        const server = createTlsServer({ cert, key, handshakeTimeout: CONNECT_TIMEOUT }, accept);
        await this.serve(server, host, tls.port);
      }
    } catch (error) {
      await this.end(aedes);
      throw error;
    }
    this.since = this.options.clock.now();
    this.report('sunsteep/service', 'hearing');
  }

  /** The ports in use: the plain one, then the one for TLS where there is one. */
  get ports(): number[] {
    return this.servers.map((server) => (server.address() as { port: number }).port);
  }

  report(topic: string, payload: string): void {
    this.aedes?.publish(reportPacket(topic, payload), () => {});
  }

  /** The embedded broker hears every topic as it is. */
  rewire(): void {}

  listen(hear: (message: Overheard) => void): () => void {
    this.listeners.add(hear);
    return () => this.listeners.delete(hear);
  }

  health(): HearingHealth {
    const trouble = this.servers.length > 0 ? null : 'The broker is not running.';
    return { trouble, since: this.since, refused: [...this.logins.refused] };
  }

  async close(): Promise<void> {
    const { aedes } = this;
    if (aedes === null) return;
    await new Promise<void>((told) => {
      const patience = setTimeout(told, FAREWELL);
      aedes.publish(reportPacket('sunsteep/service', 'gone'), () => {
        clearTimeout(patience);
        told();
      });
    });
    await this.end(aedes);
    this.since = this.options.clock.now();
  }

  private async end(aedes: Aedes): Promise<void> {
    this.aedes = null;
    const closed = this.servers.map((server) => new Promise((done) => server.close(done)));
    this.servers = [];
    await new Promise<void>((done) => aedes.close(done));
    this.limit.destroyAll();
    await Promise.all([...closed, this.options.intake.settled()]);
  }

  private async serve(server: Server, host: string, port: number): Promise<void> {
    server.on('connection', (socket: Socket) => {
      socket.on('error', () => {}); // what broke a connection shows in that it is closed
      if (!this.limit.admits(socket)) socket.destroy();
      else socket.setKeepAlive(true, TCP_KEEPALIVE).setNoDelay(true);
    });
    await new Promise<void>((listening, failed) => {
      server.once('error', (cause: NodeJS.ErrnoException) => failed(portError(host, port, cause)));
      server.listen({ host, port }, listening);
    });
    this.servers.push(server);
  }

  private async createBroker(): Promise<Aedes> {
    const aedes = await Aedes.createBroker({
      connectTimeout: CONNECT_TIMEOUT,
      // No limit on messages under way: what waits behind others is taken up again by recursion, which
      // some thousands of them end in a stack overflow. The intake holds the boards back.
      concurrency: 0,
      preConnect: (_client, packet, done) => {
        packet.clean = true;
        done(null, true);
      },
      authenticate: (client, name, password, done) => {
        const refused = this.logIn(client, name ?? '', password);
        done(refused, refused === null);
      },
      authorizePublish: (client, packet, done) => this.publish(client, packet, done),
      authorizeSubscribe: (client, subscription, done) => {
        const user = this.users.get(client);
        const may = user !== undefined && maySubscribe(user, subscription.topic);
        done(null, may ? subscription : null); // null: SUBACK 0x80, failure
      },
    });
    // What goes wrong for one client must not end the service for all; its connection shows it.
    (aedes as EventEmitter).on('error', () => {});
    return aedes;
  }

  private logIn(
    client: Client,
    name: string,
    password: Uint8Array | undefined,
  ): AuthenticateError | null {
    const address = addressOf(peerOf(client));
    if (this.logins.mustWait(address)) {
      this.logins.list(address, name, 'five failed logins within a minute: it has to wait');
      return refusal('too many failed logins: wait a minute', SERVER_UNAVAILABLE);
    }
    const user = password ? userOf(name, password, this.options.passwords) : null;
    if (user === null) {
      const why = password ? 'wrong user or password' : 'no password';
      this.logins.failed(address, name, why);
      return refusal(why, BAD_LOGIN);
    }
    this.users.set(client, user);
    return null;
  }

  private publish(
    client: Client | null,
    packet: PublishPacket,
    done: (error?: Error | null) => void,
  ): void {
    const user = client === null ? undefined : this.users.get(client);
    if (client === null || user === undefined || !mayPublish(user, packet.topic)) {
      // MQTT 3.1.1 §3.3.5.2: a publish that is not allowed is acknowledged, or ends the connection.
      // An acknowledgement would tell a board that its reading is kept.
      const address = client === null ? '' : addressOf(peerOf(client));
      this.logins.list(address, user ?? '', 'it may not publish to that topic');
      done(new Error('not allowed to publish to that topic'));
      return;
    }
    if (packet.retain && !this.keepsRetained(packet)) packet.retain = false;
    const message = { topic: packet.topic, payload: bytesOf(packet.payload), earlier: false };
    for (const hear of this.listeners) hear(message);
    this.options.intake.take({ ...message, waited: false }).then(() => done(null), done);
  }

  /** Whether a topic's last message is kept for later readers, who read nothing but `sunsteep/`. */
  private keepsRetained(packet: PublishPacket): boolean {
    const { topic, payload } = packet;
    if (!topic.startsWith('sunsteep/')) return false;
    if (payload.length === 0) return this.retained.delete(topic);
    if (payload.length > LONGEST_RETAINED) {
      // what was kept before is no longer the last
      if (this.retained.delete(topic)) this.aedes?.publish(reportPacket(topic, ''), () => {});
      return false;
    }
    if (this.retained.size >= MOST_RETAINED && !this.retained.has(topic)) return false;
    this.retained.add(topic);
    return true;
  }
}

const peerOf = (client: Client) => client.conn as unknown as GuardedStream;

const bytesOf = (payload: string | Buffer): Uint8Array =>
  typeof payload === 'string' ? Buffer.from(payload) : payload;

const reportPacket = (topic: string, payload: string): PublishPacket => ({
  cmd: 'publish',
  topic,
  payload: Buffer.from(payload),
  qos: 1,
  retain: true,
  dup: false,
});

const refusal = (message: string, returnCode: number): AuthenticateError =>
  Object.assign(new Error(message), { returnCode });

function portError(host: string, port: number, cause: NodeJS.ErrnoException): Error {
  if (cause.code === 'EADDRINUSE') {
    return new SunsteepError(
      'SUNSTEEP_PORT_TAKEN',
      `port ${port} on ${host} is taken by another program: end that one, or give the broker another port with SUNSTEEP_BROKER_PORT`,
      { cause },
    );
  }
  return new SunsteepError(
    'SUNSTEEP_SETTING_INVALID',
    `the broker cannot listen on port ${port} of ${host} (${cause.code ?? cause.message}): give it another SUNSTEEP_BROKER_HOST or SUNSTEEP_BROKER_PORT`,
    { cause },
  );
}
