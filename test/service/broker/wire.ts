import { connect, createServer, type Socket } from 'node:net';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import mqttPacket, { type Packet, type Parser } from 'mqtt-packet';
import { STORE_FILE } from '../../../collector-service/store/database.ts';
import { atTheEnd } from './hearing-house.ts';

/** What was seen on the wire. */
export interface Wire {
  port: number;
  /** Versions of MQTT that were asked for: 4 is 3.1.1. */
  versions: Set<number>;
  /** Messages whose PUBACK went by, in order. */
  acknowledged: string[];
  /** Those whose PUBACK went by before a second connection to the database could see them. */
  early: string[];
  /** Payloads of PUBLISH packets that went by, in the direction of the readings. */
  published: number;
  /** Resolves when so many PUBACKs have gone by. */
  untilAcknowledged(count: number): Promise<void>;
  /** Cuts every connection. */
  cut(): void;
}

interface WireOptions {
  /** Where the readings come from: from who connects (a board), or from who is connected to. */
  from: 'client' | 'server';
  folder: string;
  /** Loses so many of the markers that the service publishes to itself. */
  loseMarkers?: number;
  /** Answers a CONNECT of MQTT 5 as a broker does that knows 3.1.1 alone. */
  refuseVersion5?: boolean;
}

/**
 * A wire between an MQTT client and its broker that looks at each PUBACK as it goes by: is what it
 * acknowledges on disk?
 *
 * Messages are told apart by their payload: SenML whose one record has a time of its own, or, for what
 * is unreadable, a text that is found in the list of unreadables again.
 */
export async function openWire(to: number, options: WireOptions): Promise<Wire> {
  const database = new Database(join(options.folder, STORE_FILE), { readonly: true });
  atTheEnd(() => database.close());
  const reading = database.prepare('SELECT 1 FROM reading WHERE t = ?');
  const unreadable = database.prepare('SELECT 1 FROM unreadable WHERE topic = ?');
  const isOnDisk = (packet: Packet & { cmd: 'publish' }) => {
    const time = /"t":([\d.]+)/.exec(packet.payload.toString());
    return time
      ? reading.get(Math.round(Number(time[1]) * 1000)) !== undefined
      : unreadable.get(packet.topic) !== undefined;
  };

  let lost = 0;
  const isLost = (packet: Packet) =>
    packet.cmd === 'publish' &&
    packet.topic === 'sunsteep/service/marker' &&
    ++lost <= (options.loseMarkers ?? 0);

  const sockets = new Set<Socket>();
  let tell: () => void = () => {};
  const wire: Wire = {
    port: 0,
    versions: new Set(),
    acknowledged: [],
    early: [],
    published: 0,
    async untilAcknowledged(count) {
      while (wire.acknowledged.length < count) {
        await new Promise<void>((resolve) => {
          tell = resolve;
        });
      }
    },
    cut() {
      for (const socket of sockets) socket.destroy();
    },
  };

  const server = createServer((client) => {
    const upstream = connect(to, '127.0.0.1');
    const waiting = new Map<number, Packet & { cmd: 'publish' }>();
    const fromClient = mqttPacket.parser();
    let version = 4;
    let fromServer: Parser = mqttPacket.parser();
    const losing = options.loseMarkers !== undefined;
    let kept: Buffer[] = [];
    const see = (packet: Packet, from: 'client' | 'server') => {
      if (losing && from === 'client' && !isLost(packet)) {
        kept.push(mqttPacket.generate(packet, { protocolVersion: version }));
      }
      if (packet.cmd === 'connect') {
        version = packet.protocolVersion ?? 4;
        wire.versions.add(version);
        fromServer = parserOf(version, (answer) => see(answer, 'server'));
        if (version === 5 && options.refuseVersion5) {
          client.end(Buffer.from([0x20, 2, 0, 1])); // CONNACK: unacceptable protocol version
          upstream.destroy();
        }
      }
      if (packet.cmd === 'publish' && from === options.from && packet.qos === 1) {
        waiting.set(packet.messageId!, packet);
        wire.published++;
      }
      if (packet.cmd === 'puback' && from !== options.from) {
        const acknowledged = waiting.get(packet.messageId!);
        if (acknowledged === undefined) return;
        waiting.delete(packet.messageId!);
        if (!acknowledged.topic.startsWith('sunsteep/kowhai')) return;
        wire.acknowledged.push(acknowledged.payload.toString());
        if (!isOnDisk(acknowledged)) wire.early.push(acknowledged.payload.toString());
        tell();
      }
    };
    fromClient.on('packet', (packet) => see(packet, 'client'));
    for (const [socket, other, parser] of [
      [client, upstream, () => fromClient],
      [upstream, client, () => fromServer],
    ] as const) {
      sockets.add(socket);
      socket.on('error', () => {});
      socket.on('data', (data: Buffer) => {
        kept = [];
        parser().parse(data);
        const goesOn = socket === client && losing ? Buffer.concat(kept) : data;
        if (!other.destroyed) other.write(goesOn);
      });
      socket.on('close', () => {
        sockets.delete(socket);
        other.destroy();
      });
    }
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  atTheEnd(() => {
    wire.cut();
    return new Promise((closed) => server.close(closed));
  });
  wire.port = (server.address() as { port: number }).port;
  return wire;
}

function parserOf(protocolVersion: number, see: (packet: Packet) => void): Parser {
  const parser = mqttPacket.parser({ protocolVersion });
  parser.on('packet', see);
  return parser;
}
