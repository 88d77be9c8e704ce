import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import mqttPacket from 'mqtt-packet';
import type { House } from '../live/house.ts';

type Broker = Pick<House, 'broker'>;

export const connectPacket = ({ broker }: Broker, clientId: string): Buffer =>
  mqttPacket.generate({
    ...{ cmd: 'connect', protocolId: 'MQTT', protocolVersion: 4, clean: true, keepalive: 0 },
    ...{ clientId, username: 'sensor', password: Buffer.from(broker.password!) },
  });

/** @param n  makes the packet identifier of QoS 1; null: QoS 0 */
export const publishPacket = (topic: string, payload: string, n: number | null): Buffer =>
  mqttPacket.generate({
    ...{ cmd: 'publish', topic, payload, dup: false, retain: false },
    ...(n === null ? { qos: 0 } : { qos: 1, messageId: (n % 65_535) + 1 }),
  });

/** A board with no MQTT client before its socket: it sends as fast as it is let. */
export class RawBoard {
  readonly socket: Socket;
  private acknowledged = 0;
  private ended: Error | null = null;
  private tell: () => void = () => {};

  private constructor(socket: Socket) {
    this.socket = socket;
  }

  /** Connects, from an address of the loopback, and logs in. */
  static async open(
    house: Broker,
    clientId: string,
    localAddress = '127.0.0.1',
  ): Promise<RawBoard> {
    const board = new RawBoard(
      connect({ port: house.broker.port, host: '127.0.0.1', localAddress }),
    );
    const { socket } = board;
    socket.on('error', () => {});
    socket.write(connectPacket(house, clientId));
    const [connack] = await Promise.race([once(socket, 'data'), once(socket, 'close')]);
    if (!Buffer.isBuffer(connack)) throw new Error('the broker hangs up');
    if (connack[3] !== 0) throw new Error(`the broker refuses: ${connack.toString('hex')}`);
    const parser = mqttPacket.parser();
    parser.on('packet', ({ cmd }) => {
      if (cmd === 'puback') board.acknowledged++;
    });
    socket.on('data', (data) => {
      parser.parse(data);
      board.tell();
    });
    socket.on('close', () => {
      board.ended = new Error('the broker ended the connection');
      board.tell();
    });
    return board;
  }

  async pour(packets: readonly Buffer[]): Promise<void> {
    for (let i = 0; i < packets.length; i += 500) {
      const goesOn = this.socket.write(Buffer.concat(packets.slice(i, i + 500)));
      if (!goesOn) await Promise.race([once(this.socket, 'drain'), once(this.socket, 'close')]);
    }
  }

  async untilAcknowledged(count: number): Promise<void> {
    while (this.acknowledged < count) {
      if (this.ended) throw this.ended;
      await new Promise<void>((resolve) => {
        this.tell = resolve;
      });
    }
  }

  cut(): void {
    this.socket.destroy();
  }
}
