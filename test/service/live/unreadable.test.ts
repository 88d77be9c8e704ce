import { once } from 'node:events';
import { writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import type { MqttClient } from 'mqtt';
import mqttPacket from 'mqtt-packet';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { type House, kowhaiPlace, openBoard, openHouse, publish, setUp } from './house.ts';
import { endAll, run } from './program.ts';

let house: House;
let board: MqttClient;
/** Good readings that a neighbour sends in between; each must be kept. */
let sound = 0;

beforeAll(async () => {
  house = await openHouse();
  await setUp(house, { id: 'kowhai', place: kowhaiPlace });
  const setup = await house.get<object>('/api/setup');
  const wiring = [
    { topic: 'shed/+/state', pointer: '/t', tub: '{1}', point: 'tub/temperature' },
    {
      ...{ topic: 'shed/clock', tub: 'kowhai', point: 'tub/temperature' },
      ...{ pointer: '/v', timePointer: '/t', timeFormat: 'iso8601' },
    },
  ];
  const put = await house.call('PUT', '/api/setup', { ...setup, wiring });
  expect(put.status, put.text).toBe(200);
  board = await openBoard(house);
});
afterAll(async () => {
  await board.endAsync();
  await endAll();
});

const send = (topic: string, payload: string | Buffer) =>
  board.publishAsync(topic, payload, { qos: 1 });

const whysOf = async (topic: string) =>
  (await house.unreadable()).filter((kind) => kind.topic === topic).map(({ why }) => why);

/** Everything that came before is intact, and the next reading gets through. */
async function nothingDisturbed(): Promise<void> {
  await send('sunsteep/sound/tub/temperature', JSON.stringify([{ t: 1.7e9 + 60 * sound, v: 37 }]));
  sound++;
  const { points } = await house.get<{ points: Record<string, { count: number }> }>(
    '/api/tubs/sound/readings?from=2023-01-01T00:00:00Z&buckets=1',
  );
  expect(points).toMatchObject({ 'tub/temperature': { count: sound } });
  expect((await house.call('GET', '/health', undefined, {})).body).toMatchObject({
    status: 'ok',
    oldestUnacknowledgedS: null,
  });
}

const deep = `${'['.repeat(1000)}${']'.repeat(1000)}`;
const deepObject = `${'{"t":'.repeat(1000)}1${'}'.repeat(1000)}`;
const pack = (...records: unknown[]) => JSON.stringify(records);

const bad: [what: string, topic: string, payload: string | Buffer, why: RegExp][] = [
  ['an unknown point', 'sunsteep/kowhai/tub/temprature', '37', /^unknown point$/],
  ['a hundredth collector', 'sunsteep/kowhai/collector/100/temperature', '37', /^unknown point$/],
  ['collector 0', 'sunsteep/kowhai/collector/0/temperature', '37', /^unknown point$/],
  ['a name that no tub can have', 'sunsteep/Kōwhai/tub/temperature', '37', /a tub is named by/],
  ['a name of 33', `sunsteep/${'k'.repeat(33)}/tub/temperature`, '37', /a tub is named by/],
  ['no tub', 'sunsteep', '37', /a tub is named by/],
  ['a topic that nothing wires', 'garage/door', 'open', /^no wiring for this topic$/],
  ['no number', 'sunsteep/kowhai/tub/temperature', 'warm', /not a finite number/],
  ['a comma', 'sunsteep/kowhai/tub/temperature', '37,4', /not a finite number/],
  ['a unit behind', 'sunsteep/kowhai/tub/temperature', '37.4 °C', /not a finite number/],
  ['hexadecimal', 'sunsteep/kowhai/tub/temperature', '0x25', /not a finite number/],
  ['not a number', 'sunsteep/kowhai/tub/temperature', 'NaN', /not a finite number/],
  ['infinity', 'sunsteep/kowhai/tub/temperature', 'Infinity', /not a finite number/],
  ['1e999', 'sunsteep/kowhai/tub/temperature', '1e999', /not a finite number/],
  ['1e999 in SenML', 'sunsteep/kowhai/tub/temperature', '[{"v":1e999}]', /not of its type/],
  ['nothing', 'sunsteep/kowhai/tub/temperature', '', /empty/],
  ['a word for a temperature', 'sunsteep/kowhai/tub/temperature', 'on', /not a finite number/],
  ['two for a switch', 'sunsteep/kowhai/pump/running', '2', /one of 0 and 1/],
  ['a number for a whole tub', 'sunsteep/kowhai', '37', /needs a topic that names its point/],
  ['an object', 'sunsteep/kowhai', '{"v":37}', /neither a number nor SenML/],
  ['broken JSON', 'sunsteep/kowhai', '[{"n":"tub/temperature","v":37}', /not valid JSON/],
  ['no records', 'sunsteep/kowhai', '[]', /the SenML pack is empty/],
  ['a thousand deep', 'sunsteep/kowhai', deep, /a SenML record is a JSON object/],
  ['an unknown name', 'sunsteep/kowhai', pack({ n: 'spa/jets', v: 1 }), /^unknown point$/],
  ['a text', 'sunsteep/kowhai', pack({ n: 'tub/temperature', vs: '37' }), /has no number/],
  ['a wrong unit', 'sunsteep/kowhai', pack({ n: 'pump/flow', u: 'W', v: 3 }), /does not suit/],
  [
    'no SenML unit',
    'sunsteep/kowhai',
    pack({ n: 'pump/flow', u: 'gpm', v: 3 }),
    /not one of SenML/,
  ],
  ['a later version', 'sunsteep/kowhai', pack({ bver: 11, n: 'pump/flow', v: 3 }), /version/],
  ['a label that must be known', 'sunsteep/kowhai', pack({ n: 'pump/flow', v: 3, x_: 1 }), /_/],
  ['a year of 2106', 'sunsteep/kowhai', pack({ n: 'pump/flow', t: 2 ** 32, v: 3 }), /ahead/],
  [
    'a year of 50000',
    'sunsteep/kowhai',
    pack({ n: 'pump/flow', t: 1.5e12, v: 3 }),
    /outside the years/,
  ],
  [
    'a time of 1e300',
    'sunsteep/kowhai',
    pack({ n: 'pump/flow', t: 1e300, v: 3 }),
    /outside the years/,
  ],
  ['over 64 KiB', 'sunsteep/kowhai/tub/temperature', ' '.repeat(65_535) + 37, /over 64 KiB/],
  ['300 KB', 'sunsteep/kowhai', `[${'{"v":1},'.repeat(33_000)}{}]`, /over 64 KiB/],
  ['bytes', 'sunsteep/kowhai/tub/temperature', Buffer.from([0xff, 0xfe, 0x00]), /finite number/],
  ['bytes in SenML', 'sunsteep/kowhai', Buffer.from([0x5b, 0xff, 0x5d]), /not valid UTF-8/],
  ['a pointer to nothing', 'shed/kowhai/state', '{"u":37}', /points at is not a finite number/],
  ['a pointer to an object', 'shed/kowhai/state', deepObject, /points at is not a finite number/],
  ['a board whose name is none', 'shed/Kōwhai/state', '{"t":37}', /a name that no tub can have/],
  ['no JSON where some is wired', 'shed/kowhai/state', 't=37', /not valid JSON/],
  ['a local time', 'shed/clock', '{"v":37,"t":"2024-03-02T13:00:00"}', /is not a time/],
];

test.each(bad)('unreadable: %s', async (_what, topic, payload, why) => {
  await send(topic, payload);
  const whys = await whysOf(topic);
  expect(
    whys.filter((one) => why.test(one)),
    whys.join('; '),
  ).toHaveLength(1);
  expect((await house.now('kowhai')).values).toEqual({});
  await nothingDisturbed();
});

test('a payload of 64 KiB and no more is read', async () => {
  await send('sunsteep/full/tub/temperature', `${' '.repeat(65_534)}37`);
  expect((await house.now('full')).values['tub/temperature']?.value).toBe(37);
});

test('what is unreadable shows its topic, its first 200 bytes as escaped text, and how often', async () => {
  const payload = Buffer.concat([Buffer.from('ab\n\x1b[31m"ü'), Buffer.from([0xff, 0x00])]);
  const before = Date.now();
  await send('sunsteep/shown/tub/temperature', Buffer.concat([payload, Buffer.alloc(500, 0x78)]));
  await send('sunsteep/shown/tub/temperature', Buffer.concat([payload, Buffer.alloc(500, 0x78)]));
  const [shown] = (await house.unreadable()).filter(({ topic }) => topic.includes('/shown/'));
  expect(shown).toMatchObject({ count: 2, why: 'the payload is not a finite number' });
  expect(shown!.payload).toBe(`ab\\x0a\\x1b[31m"ü\\xff\\x00${'x'.repeat(200 - payload.length)}`);
  expect(Date.parse(shown!.first)).toBeGreaterThanOrEqual(before);
  expect(Date.parse(shown!.last)).toBeLessThanOrEqual(Date.now());
  await nothingDisturbed();
});

test('the newest 1,000 kinds of unreadable messages are kept, and no more', async () => {
  const sent: Promise<unknown>[] = [];
  for (let i = 0; i < 1200; i++) sent.push(send(`flood/${String(i).padStart(4, '0')}`, 'x'));
  await Promise.all(sent);
  await send('flood/last', 'x');
  const kinds = await house.unreadable();
  expect(kinds).toHaveLength(1000);
  expect(kinds.some(({ topic }) => topic === 'flood/last')).toBe(true);
  expect(kinds.some(({ topic }) => topic === 'flood/0000')).toBe(false);
  await nothingDisturbed();
});

test('at most 50 tubs appear by themselves; those with a set-up always do', async () => {
  const before = (await house.get<{ items: { setUp: boolean }[] }>('/api/tubs')).items;
  const strangers = before.filter(({ setUp }) => !setUp).length;
  for (let i = 0; i < 60; i++) await send(`sunsteep/stranger-${i}/tub/temperature`, '37');
  const { items } = await house.get<{ items: { setUp: boolean }[] }>('/api/tubs');
  expect(items.filter(({ setUp }) => !setUp)).toHaveLength(50);
  const refused = (await house.unreadable()).filter(({ why }) => /50 tubs/.test(why));
  expect(refused).toHaveLength(60 - (50 - strangers));
  await setUp(house, { id: 'stranger-59', place: kowhaiPlace });
  await send('sunsteep/stranger-59/tub/temperature', '38');
  expect((await house.now('stranger-59')).values['tub/temperature']?.value).toBe(38);
  await nothingDisturbed();
});

test('who may not publish to a topic, or sends what is no MQTT, is cut off without harm', async () => {
  const { port, password } = house.broker;
  const login = { username: 'sensor', password: Buffer.from(password!), clientId: 'hostile' };
  const publishes = [
    '$SYS/uptime',
    'sunsteep/service',
    'sunsteep/kowhai/report/alerts',
    'a/#',
    'a/+/b',
  ].map((topic) => {
    const packet = { cmd: 'publish', topic, payload: 'x', qos: 1, messageId: 1 } as const;
    return mqttPacket.generate({ ...packet, dup: false, retain: true });
  });
  const nonsense = [Buffer.from('GET / HTTP/1.1\r\n\r\n'), Buffer.alloc(4000, 0xff)];
  for (const bytes of [...publishes, ...nonsense]) {
    const socket = connect(port, '127.0.0.1');
    let answer = Buffer.alloc(0);
    socket.on('data', (chunk) => {
      answer = Buffer.concat([answer, chunk]);
    });
    socket.on('error', () => {});
    socket.write(
      mqttPacket.generate({
        cmd: 'connect',
        protocolId: 'MQTT',
        protocolVersion: 4,
        clean: true,
        keepalive: 0,
        ...login,
      }),
    );
    socket.write(bytes);
    await once(socket, 'close');
    const acknowledged = answer.subarray(4).includes(0x40); // PUBACK
    expect({ bytes: bytes.subarray(0, 20).toString('latin1'), acknowledged }).toMatchObject({
      acknowledged: false,
    });
  }
  await nothingDisturbed();
});

test('a set-up with an unknown key is refused whole, with the path of every fault', async () => {
  const setup = await house.get<{ tubs: object[] }>('/api/setup');
  const bad = {
    ...setup,
    tubs: [{ id: 'kowhai', place: { ...kowhaiPlace, altitude: 4 }, loop: { fluid: 'oil' } }],
    wiring: [{ topic: 'a/#', tub: 'kowhai', point: 'tub/temperature' }],
    spare: 1,
  };
  const put = await house.call('PUT', '/api/setup', bad);
  expect(put.status).toBe(422);
  expect(put.headers.get('content-type')).toMatch(/^application\/problem\+json/);
  const paths = put.body.faults.map(({ path }: { path: string }) => path).sort();
  expect(paths).toEqual([
    '/spare',
    '/tubs/0/loop/fluid',
    '/tubs/0/place/altitude',
    '/wiring/0/topic',
  ]);
  expect(await house.get('/api/setup')).toEqual(setup);
});

test('a row of CSV that is too short is told, and the others are kept', async () => {
  const file = `${house.folder}/rows.csv`;
  writeFileSync(
    file,
    'time,tub,point,value\n2024-03-02T00:00:00Z,kowhai,tub/temperature\n' +
      '2024-03-02T00:00:00Z,kowhai,tub/temperature,36.5\n',
  );
  const { code, out } = await run(['import', file], { SUNSTEEP_DATA: house.folder });
  expect(code).toBe(0);
  expect(out).toMatch(
    /^1 rows read, 1 refused\n {2}1 × the row has not 4 fields \(first: .+ line 2\)/,
  );
  expect((await house.now('kowhai')).values['tub/temperature']?.value).toBe(36.5);
  await nothingDisturbed();
});

test('mosquitto_pub is told that an unreadable message arrived', async () => {
  await publish(house, 'sunsteep/kowhai/tub/temperature', '-m', 'hot');
  await nothingDisturbed();
});
