import { randomBytes } from 'node:crypto';
import fc from 'fast-check';
import mqttPacket, { type Packet } from 'mqtt-packet';
import { expect, test } from 'vitest';
import { CUT_PAYLOAD, PacketGuard } from '../../../collector-service/ingest/packet-guard.ts';
import { LONGEST_PAYLOAD } from '../../../collector-service/ingest/payload-form.ts';
import { always } from './property.ts';

type Version = 4 | 5;

const publish = (payload: Buffer, rest: Partial<Packet> = {}) =>
  ({
    cmd: 'publish',
    topic: 'sunsteep/kowhai/tub/temperature',
    qos: 1,
    messageId: 7,
    dup: false,
    retain: false,
    payload,
    ...rest,
  }) as Packet;

const written = (packet: Packet, version: Version): Buffer =>
  mqttPacket.generate(packet, { protocolVersion: version });

/** What comes through, when the bytes arrive in pieces of these lengths, again and again. */
function through(bytes: Buffer, version: Version, lengths: readonly number[]): Buffer {
  const guard = new PacketGuard(version);
  const out: Buffer[] = [];
  for (let at = 0, i = 0; at < bytes.length; i++) {
    const length = lengths[i % lengths.length]!;
    out.push(...guard.pass(bytes.subarray(at, at + length)));
    at += length;
  }
  return Buffer.concat(out);
}

function parsed(bytes: Buffer, version: Version): Packet[] {
  const parser = mqttPacket.parser({ protocolVersion: version });
  const packets: Packet[] = [];
  parser.on('packet', (packet) => packets.push(packet));
  parser.on('error', (error) => {
    throw error;
  });
  parser.parse(bytes);
  return packets;
}

const cut = (packet: Packet): Packet =>
  packet.cmd === 'publish' && packet.payload.length > LONGEST_PAYLOAD
    ? { ...packet, payload: (packet.payload as Buffer).subarray(0, CUT_PAYLOAD) }
    : packet;

const filler = randomBytes(2_000_000);

const payload = fc
  .oneof(
    { weight: 6, arbitrary: fc.integer({ min: 0, max: 300 }) },
    { weight: 2, arbitrary: fc.integer({ min: LONGEST_PAYLOAD - 80, max: LONGEST_PAYLOAD + 80 }) },
    { weight: 1, arbitrary: fc.integer({ min: LONGEST_PAYLOAD, max: filler.length }) },
  )
  .map((length) => filler.subarray(0, length));

const userProperties = fc.dictionary(
  fc.string({ minLength: 1, maxLength: 20 }),
  fc.string({ maxLength: 2_000 }),
  { maxKeys: 5 },
);

const packet = (version: Version): fc.Arbitrary<Packet> =>
  fc.oneof(
    {
      weight: 4,
      arbitrary: fc
        .record({
          topic: fc.oneof(
            fc.constant('sunsteep/kowhai/tub/temperature'),
            fc.integer({ min: 1, max: 60_000 }).map((length) => 't'.repeat(length)),
          ),
          payload,
          qos: fc.constantFrom(0 as const, 1 as const, 2 as const),
          properties: userProperties,
        })
        .map(({ topic, payload, qos, properties }) =>
          publish(payload, {
            topic,
            qos,
            messageId: qos > 0 ? 7 : undefined,
            ...(version === 5 ? { properties: { userProperties: { ...properties } } } : {}),
          } as Partial<Packet>),
        ),
    },
    { weight: 1, arbitrary: fc.constant<Packet>({ cmd: 'pingreq' }) },
    { weight: 1, arbitrary: fc.constant<Packet>({ cmd: 'puback', messageId: 9 }) },
    {
      weight: 1,
      arbitrary: fc.constant({
        cmd: 'subscribe',
        messageId: 3,
        subscriptions: [{ topic: 'sunsteep/#', qos: 1 }],
      } as Packet),
    },
  );

const pieces = fc.array(
  fc.oneof(
    { weight: 3, arbitrary: fc.integer({ min: 1, max: 70_000 }) },
    { weight: 1, arbitrary: fc.integer({ min: 1, max: 9 }) },
  ),
  { minLength: 1, maxLength: 12 },
);

test.each([4, 5] as const)(
  'MQTT %d: small packets come through untouched, great ones cut',
  (version) => {
    let cuts = 0;
    always(
      `packet guard, MQTT ${version}`,
      fc.property(
        fc.array(packet(version), { minLength: 1, maxLength: 6 }),
        pieces,
        (packets, lengths) => {
          const bytes = Buffer.concat(packets.map((one) => written(one, version)));
          const expected = Buffer.concat(packets.map((one) => written(cut(one), version)));
          cuts += Number(expected.length < bytes.length);
          const came = through(bytes, version, lengths);
          if (!came.equals(expected))
            throw new Error(`${came.length} bytes, not ${expected.length}`);
        },
      ),
      400,
    );
    expect(cuts).toBeGreaterThan(10);
  },
);

test('byte by byte a cut packet is still one packet, and so is what follows it', () => {
  const great = publish(filler.subarray(0, 100_000));
  const small = publish(Buffer.from('37.4'), { messageId: 8 } as Partial<Packet>);
  for (const version of [4, 5] as const) {
    const bytes = Buffer.concat([written(great, version), written(small, version)]);
    const packets = parsed(through(bytes, version, [1]), version);
    expect(packets).toHaveLength(2);
    expect(packets[0]).toMatchObject({ cmd: 'publish', qos: 1, messageId: 7 });
    expect(packets[0]).toHaveProperty('payload.length', CUT_PAYLOAD);
    expect(packets[1]).toMatchObject({ messageId: 8, payload: Buffer.from('37.4') });
  }
});

test('a chunk of small packets is handed on itself, not a copy', () => {
  const chunk = Buffer.concat(
    Array.from({ length: 100 }, () => written(publish(filler.subarray(0, 9)), 4)),
  );
  const [same, ...more] = new PacketGuard(4).pass(chunk);
  expect(more).toEqual([]);
  expect(same!.buffer).toBe(chunk.buffer);
  expect([same!.byteOffset, same!.length]).toEqual([chunk.byteOffset, chunk.length]);
});

test('what is held of a publish of 256 MB is a payload of 64 KiB and a byte', () => {
  const guard = new PacketGuard(4);
  const head = Buffer.from([0x32, 0xff, 0xff, 0xff, 0x7f, 0, 1, 0x74, 0, 7]); // topic t, id 7
  let through = guard.pass(head).reduce((sum, { length }) => sum + length, 0);
  let left = 268_435_455 - 5;
  while (left > 0) {
    const chunk = filler.subarray(0, Math.min(left, filler.length));
    left -= chunk.length;
    for (const piece of guard.pass(chunk)) through += piece.length;
  }
  expect(through).toBe(4 + 5 + CUT_PAYLOAD); // fixed header, variable header, payload
  const ping = Buffer.from([0xc0, 0]);
  expect(guard.pass(ping)).toEqual([ping]);
});

test.each([
  ['a SUBSCRIBE over 64 KiB', 4, [0x82, 0x81, 0x80, 0x04]],
  ['a CONNECT over 64 KiB', 4, [0x10, 0x81, 0x80, 0x04]],
  ['a length of five bytes', 4, [0x30, 0xff, 0xff, 0xff, 0xff, 0x01]],
  ['a topic longer than its packet', 4, [0x32, 0x81, 0x80, 0x04, ...topicOf(65_535), 0, 7]],
  ['properties over 64 KiB', 5, [0x30, 0xff, 0xff, 0xff, 0x7f, 0, 1, 0x74, 0x81, 0x80, 0x04]],
] as const)('%s ends the connection', (_name, version, bytes) => {
  const refused = expect.objectContaining({ code: 'PACKET_REFUSED' });
  for (const lengths of [[1], [70_000]]) {
    expect(() => through(Buffer.from(bytes), version, lengths)).toThrow(refused);
  }
});

function topicOf(length: number): number[] {
  return [length >> 8, length & 0xff, ...Array.from({ length }, () => 0x74)];
}
