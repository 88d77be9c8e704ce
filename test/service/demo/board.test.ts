import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { Aedes, type Client } from 'aedes';
import { afterEach, expect, test, vi } from 'vitest';
import { startBoard } from '../../../collector-service/demo/board.ts';
import { Loop } from '../../../collector-service/demo/loop.ts';
import { demoPoints } from '../../../collector-service/demo/sensors.ts';
import { senmlForm } from '../../../collector-service/ingest/senml.ts';
import { HOUR, MINUTE, spring, valuesOf } from './course.ts';

vi.setConfig({ testTimeout: 60_000 });

const noon = spring + 36 * HOUR;
const ends: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

interface Pack {
  topic: string;
  qos: number;
  readings: Record<string, number>;
  at: number;
}

/** A broker that lets one user in and keeps what it was sent. */
async function startBroker(port = 0) {
  const broker = await Aedes.createBroker({
    authenticate: (_: Client, user, password, done) =>
      done(null, user === 'sensor' && password?.toString() === 'a-password'),
  });
  const sockets = new Set<Socket>();
  const server: Server = createServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    broker.handle(socket);
  });
  server.listen(port, '127.0.0.1');
  await once(server, 'listening');
  const packs: Pack[] = [];
  const waiting: (() => void)[] = [];
  broker.on('publish', ({ topic, qos, payload }, client) => {
    if (!client) return;
    packs.push({ topic, qos, ...decoded(Buffer.from(payload)) });
    for (const look of waiting) look();
  });
  const close = async () => {
    for (const socket of sockets) socket.destroy();
    await new Promise((done) => broker.close(() => server.close(done)));
  };
  const until = (count: number) =>
    new Promise<void>((resolve) => {
      const look = () => new Set(packs.map(({ at }) => at)).size >= count && resolve();
      waiting.push(look);
      look();
    });
  const answerNoMore = () => {
    broker.authorizePublish = () => {};
  };
  const { port: heardOn } = server.address() as AddressInfo;
  return { port: heardOn, events: broker, packs, until, close, sockets, answerNoMore };
}

/** By the service's own decoder; a pack that it refuses in part fails the test. */
function decoded(payload: Buffer): { readings: Record<string, number>; at: number } {
  const told = senmlForm.read(payload, { kind: 'tub', tub: 'kowhai' }, 0);
  const readings: Record<string, number> = {};
  let at = Number.NaN;
  for (const item of told) {
    if ('why' in item) throw new Error(item.why);
    expect(item.tub).toBe('kowhai');
    expect(item.ownTime).toBe(true);
    readings[item.point] = item.value;
    at = item.t;
  }
  return { readings, at };
}

function board(
  port: number,
  now: number,
  onTrouble?: (why: Error) => void,
  password = 'a-password',
) {
  const loop = new Loop({ from: noon });
  const stop = startBoard({
    url: `mqtt://127.0.0.1:${port}`,
    username: 'sensor',
    password,
    clock: { now: () => now },
    loop,
    onTrouble,
  });
  ends.push(stop);
  return { loop, stop };
}

test('the board sends all points every ten seconds, with their own times', async () => {
  const broker = await startBroker();
  ends.push(broker.close);
  const { loop } = board(broker.port, noon + 65_000);
  await broker.until(6);
  expect(broker.packs.map(({ at }) => at)).toEqual(
    [1, 2, 3, 4, 5, 6].map((n) => noon + n * 10_000),
  );
  expect(loop.at).toBe(noon + MINUTE);
  const same = new Loop({ from: noon });
  for (const { topic, qos, readings, at } of broker.packs) {
    same.advanceTo(at);
    expect([topic, qos]).toEqual(['sunsteep/kowhai', 1]);
    expect(Object.keys(readings).sort()).toEqual([...demoPoints].sort());
    const sent = valuesOf(same);
    for (const point of demoPoints) expect(readings[point]).toBeCloseTo(sent[point]!, 9);
  }
});

test('a connection that is cut costs no reading', async () => {
  const broker = await startBroker();
  ends.push(broker.close);
  board(broker.port, noon + 20 * MINUTE);
  for (const count of [5, 30]) {
    await broker.until(count);
    for (const socket of broker.sockets) socket.destroy();
  }
  await broker.until(120);
  const times = [...new Set(broker.packs.map(({ at }) => at))];
  expect(times).toEqual(Array.from({ length: 120 }, (_, n) => noon + (n + 1) * 10_000));
});

test('a broker that comes late hears everything, and the board tells why it waited', async () => {
  const gone = await startBroker();
  await gone.close();
  const why = await new Promise<Error>((resolve) => board(gone.port, noon + MINUTE, resolve));
  expect(why.message).toContain('ECONNREFUSED');
  const broker = await startBroker(gone.port);
  ends.splice(0, 0, broker.close);
  await broker.until(6);
  expect(broker.packs[0]!.at).toBe(noon + 10_000);
});

test('over an hour late, the board sends a pack a minute until it has caught up', async () => {
  const broker = await startBroker();
  ends.push(broker.close);
  board(broker.port, noon + 3 * HOUR);
  await broker.until(120 + 360);
  const times = broker.packs.map(({ at }) => at - noon);
  expect(times.slice(0, 120)).toEqual(Array.from({ length: 120 }, (_, n) => (n + 1) * MINUTE));
  expect(times.slice(120)).toEqual(
    Array.from({ length: 360 }, (_, n) => 2 * HOUR + (n + 1) * 10_000),
  );
});

test('a wrong password is told and sends nothing', async () => {
  const broker = await startBroker();
  ends.push(broker.close);
  const why = await new Promise<Error>((resolve) => {
    board(broker.port, noon + MINUTE, resolve, 'another');
  });
  expect(why.message).toContain('Connection refused');
  expect(broker.packs).toEqual([]);
});

test('a stopped board takes its leave and sends no more', async () => {
  const broker = await startBroker();
  ends.push(broker.close);
  const { loop, stop } = board(broker.port, noon + 20 * MINUTE);
  await broker.until(6);
  const left = once(broker.events, 'clientDisconnect');
  await stop();
  await left;
  const sent = broker.packs.length;
  expect(sent).toBeLessThan(120);
  expect(broker.packs.at(-1)!.at).toBe(loop.at);
});

test('a board ends at once where its broker is gone, also one that leaves an answer owing', async () => {
  const broker = await startBroker();
  const { stop } = board(broker.port, noon + HOUR);
  await broker.until(6);
  broker.answerNoMore();
  const stopping = stop();
  await broker.close();
  await stopping;
  const trouble = new Promise<void>((resolve) => {
    board(broker.port, noon + MINUTE, () => resolve());
  });
  await trouble;
});
