import { randomUUID } from 'node:crypto';
import type { IPublishPacket, MqttClient } from 'mqtt';
import { type BrokerLogin, connectTo } from './broker-client.ts';
import { acknowledgeWhenKept, MOST_WAITING } from './delayed-acks.ts';
import type { Intake } from './intake.ts';
import { NotKept } from './link-trouble.ts';
import { covers } from './topic-filters.ts';

/** How long the broker keeps what we miss [s]: a week. */
const SESSION_EXPIRY = 7 * 86_400;

/** The marker is lost where the broker's queue for us is full, so it is sent again [ms]. */
const MARKER_INTERVAL = 5_000;

/** Markers without an echo after which this is trouble: a minute of them. */
const MARKERS_WITHOUT_ECHO = 12;

/** How long a farewell may take [ms]. */
const FAREWELL = 2_000;

const SERVICE = 'sunsteep/service';
const MARKER = 'sunsteep/service/marker';

/** What becomes of a connection. */
export interface LinkEvents {
  /** Messages can arrive. */
  up(): void;
  /** It stands, but something is wrong with it, or is right again (null). */
  ails(what: string | null): void;
  /** It has ended; `error` is what the broker or the system said, `accepted` whether it ever stood. */
  down(error: unknown, accepted: boolean): void;
}

/**
 * One connection to an outside broker, on a session that outlives it: what is published meanwhile
 * waits at the broker, and cannot be stamped on arrival.
 *
 * To know where it ends the service publishes a marker to itself on connecting. The broker's queue is
 * in order, so that on a resumed session whatever comes before the marker's echo had waited.
 */
export class OutsideLink {
  private readonly client: MqttClient;
  private readonly intake: Intake;
  private readonly events: LinkEvents;
  private filters: ReadonlySet<string>;
  private accepted = false;
  /** What comes now had waited at the broker. */
  private waited = false;
  private readonly nonce = randomUUID();
  private markers = 0;
  private markerTimer: NodeJS.Timeout | null = null;
  private error: unknown = null;

  constructor(
    login: BrokerLogin,
    filters: ReadonlySet<string>,
    intake: Intake,
    events: LinkEvents,
  ) {
    this.filters = filters;
    this.intake = intake;
    this.events = events;
    this.client = connectTo(login, {
      clean: false,
      will: { topic: SERVICE, payload: Buffer.from('gone'), qos: 1, retain: true },
      ...(login.version === 5
        ? { properties: { sessionExpiryInterval: SESSION_EXPIRY, receiveMaximum: MOST_WAITING } }
        : {}),
    });
    acknowledgeWhenKept(
      this.client,
      (packet) => this.take(packet),
      (cause) => this.drop(cause),
    );
    this.listen();
  }

  report(topic: string, payload: string): void {
    if (this.client.connected) this.client.publish(topic, payload, { qos: 1, retain: true });
  }

  hear(filters: ReadonlySet<string>): void {
    const gone = [...this.filters].filter((filter) => !filters.has(filter));
    const come = [...filters].filter((filter) => !this.filters.has(filter));
    this.filters = filters;
    if (!this.client.connected) return;
    // First the new ones, so that nothing is missed where one takes another's place.
    if (come.length > 0) this.subscribe(come, () => {});
    if (gone.length > 0) this.client.unsubscribe(gone);
  }

  /** Says that the service is gone, and ends the connection but not the session. */
  async end(): Promise<void> {
    this.stopMarking();
    const closed = new Promise<void>((done) => this.client.once('close', () => done()));
    const force = setTimeout(() => this.client.stream.destroy(), FAREWELL);
    if (this.client.connected) {
      await new Promise<void>((told) => {
        this.client.once('close', () => told());
        this.client.publish(SERVICE, 'gone', { qos: 1, retain: true }, () => told());
      });
      await this.intake.settled();
      this.client.end();
    } else this.client.stream.destroy();
    await closed;
    clearTimeout(force);
  }

  private listen(): void {
    const { client } = this;
    // Messages may be handled before mqtt.js tells that it is connected: its CONNACK comes first.
    client.on('packetreceive', (packet) => {
      if (packet.cmd === 'connack') this.waited = packet.sessionPresent;
      if (packet.cmd === 'disconnect') this.error = { code: packet.reasonCode };
    });
    client.on('connect', () => this.connected());
    client.on('error', (error) => {
      this.error ??= error;
    });
    client.once('close', () => {
      this.stopMarking();
      this.events.down(this.error, this.accepted);
    });
  }

  private connected(): void {
    this.accepted = true;
    this.subscribe([...this.filters], () => this.events.up());
    this.report(SERVICE, 'hearing');
    this.mark();
    this.markerTimer = setInterval(() => this.mark(), MARKER_INTERVAL);
  }

  private subscribe(filters: string[], done: () => void): void {
    this.client.subscribe(filters, { qos: 1 }, (error, _subscriptions, suback) => {
      if (!this.client.connected) return;
      const refused = filters.filter((_, i) => Number(suback?.granted[i] ?? 0) >= 0x80);
      if (error === null && refused.length === 0) done();
      else {
        const what = (refused.length > 0 ? refused : filters).join(', ');
        this.events.ails(`does not let the service subscribe to ${what}`);
      }
    });
  }

  private take(packet: IPublishPacket): Promise<void> {
    const { topic, payload, retain } = packet;
    if (topic === MARKER && String(payload).startsWith(this.nonce)) this.echoed();
    if (!this.isHeard(topic)) return this.intake.pass();
    return this.intake.take({
      topic,
      payload: payload as Buffer,
      earlier: retain,
      waited: this.waited,
    });
  }

  /** A session may still hold a filter from before a wiring was taken away. */
  private isHeard(topic: string): boolean {
    if (topic.startsWith('sunsteep/')) return true;
    for (const filter of this.filters) if (covers(filter, topic)) return true;
    return false;
  }

  private mark(): void {
    this.markers++;
    this.client.publish(MARKER, `${this.nonce} ${this.markers}`, { qos: 1 });
    if (this.markers === MARKERS_WITHOUT_ECHO) {
      this.events.ails(
        `does not hand back what the service publishes to ${MARKER}: let its user write and read there`,
      );
    }
  }

  private echoed(): void {
    this.waited = false;
    this.stopMarking();
    if (this.markers >= MARKERS_WITHOUT_ECHO) this.events.ails(null);
  }

  private stopMarking(): void {
    if (this.markerTimer !== null) clearInterval(this.markerTimer);
    this.markerTimer = null;
  }

  /** What was not kept is delivered again on the next connection alone. */
  private drop(cause: unknown): void {
    this.error ??= new NotKept('the store refused', { cause });
    this.client.stream.destroy();
  }
}
