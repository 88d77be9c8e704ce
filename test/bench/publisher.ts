import { once } from 'node:events';
import { connect } from 'node:net';
import mqttPacket, { type IConnackPacket } from 'mqtt-packet';
import type { Login } from './built-service.ts';

export interface Outgoing {
  topic: string;
  payload: string;
}

const MOST_IDENTIFIERS = 65_535;

/**
 * Messages made ready for the wire, so that a publisher costs next to nothing while it is timed. The
 * identifiers go round, which is fine as long as fewer are in flight.
 */
export function packets(messages: readonly Outgoing[]): Buffer[] {
  return messages.map(({ topic, payload }, i) =>
    mqttPacket.generate({
      cmd: 'publish',
      topic,
      payload,
      qos: 1,
      retain: false,
      dup: false,
      messageId: (i % MOST_IDENTIFIERS) + 1,
    }),
  );
}

/** A QoS 1 publisher that keeps so many messages in flight. */
export class Publisher {
  private readonly socket;
  private readonly parser = mqttPacket.parser();

  private constructor(port: number) {
    this.socket = connect({ host: '127.0.0.1', port }).setNoDelay(true);
  }

  static async connected({ port, username, password }: Login, name: string): Promise<Publisher> {
    const publisher = new Publisher(port);
    const { socket, parser } = publisher;
    socket.on('data', (chunk) => parser.parse(chunk));
    socket.write(
      mqttPacket.generate({
        cmd: 'connect',
        protocolId: 'MQTT',
        protocolVersion: 4,
        clientId: name,
        clean: true,
        keepalive: 0,
        ...(password === undefined ? {} : { username, password: Buffer.from(password) }),
      }),
    );
    const [{ returnCode }] = (await once(parser, 'packet')) as [IConnackPacket];
    if (returnCode !== 0) throw new Error(`the broker refused the publisher: ${returnCode}`);
    return publisher;
  }

  /** Resolves once the last message is acknowledged; rejects where the connection ends before. */
  publish(ready: readonly Buffer[], inFlight: number): Promise<void> {
    const { socket, parser } = this;
    return new Promise((done, failed) => {
      let [sent, acknowledged] = [0, 0];
      const fill = () => {
        socket.cork();
        while (sent < ready.length && sent - acknowledged < inFlight) socket.write(ready[sent++]!);
        socket.uncork();
      };
      const ended = (error?: unknown) => {
        failed(error instanceof Error ? error : new Error('the broker ended the connection'));
      };
      const heard = ({ cmd }: { cmd?: string }) => {
        if (cmd !== 'puback') return;
        acknowledged++;
        if (acknowledged === ready.length) {
          parser.off('packet', heard);
          socket.off('data', fill).off('close', ended).off('error', ended);
          done();
        }
      };
      parser.on('packet', heard);
      // After all packets of a chunk have been counted: this listener was added after the parser's.
      socket.on('data', fill).on('close', ended).on('error', ended);
      fill();
    });
  }

  end(): void {
    this.socket.end(mqttPacket.generate({ cmd: 'disconnect' }));
  }
}
