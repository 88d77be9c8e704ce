import { once } from 'node:events';
import { connect } from 'node:net';
import { afterAll, beforeAll, expect, onTestFinished, test } from 'vitest';
import { inside, rowsOf } from '../../store/inside.ts';
import { type House, openBoard, openHouse, settled, setUp } from '../live/house.ts';
import { endAll, until } from '../live/program.ts';
import { DATE, metered, publishPacks, sunnyHours } from '../live/sunny-hours.ts';
import { pageWatcher, residentMb } from './page-watcher.ts';
import { connectPacket, publishPacket, RawBoard } from './raw-board.ts';

/** One house for all of these boards: what one does to it, the others have to live with. */
let house: House;
/** So much heap [MB] must do, whatever boards send. */
const HEAP = { NODE_OPTIONS: '--max-old-space-size=160' };

const FROM = Date.parse('2024-03-02T01:00:00Z');
const senml = (n: number) => JSON.stringify([{ t: FROM / 1000 + n, v: 34 + (n % 50) / 100 }]);
const key = (tub: string, n: number) => `${tub} tub/temperature ${FROM + n * 1000}`;

const kept = () => inside(house.folder, rowsOf);

beforeAll(async () => {
  house = await openHouse({ env: HEAP });
  await setUp(house, ...['flooded', 'packed', 'restless', 'late', 'rata'].map(metered));
});

afterAll(async () => {
  try {
    const { body } = await house.call('GET', '/health', undefined, {});
    expect(body).toMatchObject({ status: 'ok' });
    expect(await house.stop()).toBe(0);
  } finally {
    await endAll();
  }
});

/** Readings of the board that behaves, over all tests. */
let modest = 0;

/** A board that behaves: one reading after another, each once the one before was acknowledged. */
async function modestBoard() {
  const board = await openBoard(house);
  const first = modest;
  let acknowledged = 0;
  let goesOn = true;
  onTestFinished(() => {
    goesOn = false;
  });
  const done = (async () => {
    while (goesOn) {
      await board.publishAsync('sunsteep/rata/tub/temperature', senml(modest++), { qos: 1 });
      acknowledged++;
    }
    await board.endAsync();
  })();
  return {
    get acknowledged() {
      return acknowledged;
    },
    async stop() {
      goesOn = false;
      await done;
      const rows = kept();
      for (let n = first; n < first + acknowledged; n++)
        expect(rows.has(key('rata', n))).toBe(true);
    },
  };
}

test('a flood keeps nobody else from being heard nor from seeing, and all of it is kept', async () => {
  const before = residentMb(house.started.process.pid!);
  const rata = await modestBoard();
  const page = pageWatcher(house, '/api/tubs/rata/now');
  await until('a modest board', () => rata.acknowledged > 0);
  const FLOOD = 25_000;
  const topic = 'sunsteep/flooded/tub/temperature';
  const flood = await RawBoard.open(house, 'flood');
  const packets = Array.from({ length: FLOOD }, (_, n) => publishPacket(topic, senml(n), n));
  const [heardBefore, seenBefore, startedAt] = [rata.acknowledged, page.seen, performance.now()];
  await flood.pour(packets);
  await flood.untilAcknowledged(FLOOD);
  const seconds = (performance.now() - startedAt) / 1000;
  const [heard, seen] = [rata.acknowledged - heardBefore, page.seen - seenBefore];
  await page.stop();
  await rata.stop();
  console.log(
    `${FLOOD} messages in ${seconds.toFixed(1)} s; meanwhile ${heard} readings of another board and ` +
      `${seen} pages, ${page.tells()}; ${before} MB before, ${residentMb(house.started.process.pid!)} MB after`,
  );
  // one that is served at all is served again and again
  expect(heard).toBeGreaterThan(10);
  expect(seen).toBeGreaterThan(3);
  const rows = kept();
  expect(packets.filter((_, n) => !rows.has(key('flooded', n)))).toEqual([]);
  flood.cut();

  // what nobody can read, on topics that are all different, and not to be acknowledged
  const nonsense = await RawBoard.open(house, 'nonsense');
  const noise = Array.from({ length: 5_000 }, (_, n) =>
    publishPacket(`sunsteep/noise-${n}/no/such/point`, '?', null),
  );
  await nonsense.pour([...noise, publishPacket('sunsteep/flooded/pump/flow', senml(1), 1)]);
  await nonsense.untilAcknowledged(1);
  expect(await house.unreadable()).toHaveLength(1_000);
  nonsense.cut();
});

test('packs of 64 KiB are kept whole, and what is longer costs its board alone', async () => {
  const rata = await modestBoard();
  const page = pageWatcher(house, '/api/tubs/rata/days');
  const board = await openBoard(house);
  const RECORDS = 1_500;
  const PACKS = 10;
  const pack = (from: number) => {
    const records = Array.from({ length: RECORDS }, (_, i) => ({
      ...{ n: 'tub/temperature', v: 35 },
      ...(i === 0 ? { bt: FROM / 1000, t: from } : { t: from + i }),
    }));
    const text = JSON.stringify(records);
    expect(text.length).toBeLessThan(65_536);
    return text.padEnd(65_536);
  };
  for (let n = 0; n < PACKS; n++) {
    const sent = board.publishAsync('sunsteep/packed', pack(n * RECORDS), { qos: 1 });
    const long = board.publishAsync('sunsteep/packed', `${pack(n)} `, { qos: 1 });
    await Promise.all([sent, long]);
  }
  const heard = rata.acknowledged;
  await page.stop();
  await rata.stop();
  console.log(`${PACKS} packs; meanwhile ${heard} readings of another board, ${page.tells()}`);
  expect(heard).toBeGreaterThan(0);
  const packed = [...kept().keys()].filter((one) => one.startsWith('packed '));
  expect(packed).toHaveLength(PACKS * RECORDS);
  const [newest] = await house.unreadable();
  expect(newest).toMatchObject({ why: 'the payload is over 64 KiB', count: PACKS });
  await board.endAsync();
});

test('a board that comes and goes without end takes nobody’s place, and loses nothing', async () => {
  const rata = await modestBoard();
  const acknowledged: number[] = [];
  const topic = 'sunsteep/restless/tub/temperature';
  // more often than an address may have connections
  for (let n = 0; n < 240; n++) {
    if (n % 3 === 0) {
      const board = await RawBoard.open(house, 'restless');
      await board.pour([publishPacket(topic, senml(n), n)]);
      if (n % 2 === 0) {
        await board.untilAcknowledged(1);
        acknowledged.push(n);
      }
      board.cut();
    } else {
      // hangs up before it has said who it is, or in the middle of that
      const socket = connect(house.broker.port, '127.0.0.1');
      socket.on('error', () => {});
      await once(socket, 'connect');
      if (n % 3 === 1) socket.write(connectPacket(house, 'restless').subarray(0, 9));
      socket.destroy();
    }
  }
  const heard = rata.acknowledged;
  await rata.stop();
  console.log(`240 connections; meanwhile ${heard} readings of another board`);
  expect(heard).toBeGreaterThan(10);
  const rows = kept();
  expect(acknowledged.filter((n) => !rows.has(key('restless', n)))).toEqual([]);
  expect(acknowledged).toHaveLength(40);
});

const lateRows = () => [...kept()].filter(([one]) => one.startsWith('late '));

test('hours of backlog that come twice, and from two boards at once, count once', async () => {
  const backlog = sunnyHours();
  const board = await openBoard(house);
  await publishPacks(board, 'late', backlog);
  await settled(house);
  const once = { day: await house.day('late', DATE), kept: lateRows() };
  expect(once.day.gainKwh).toBeGreaterThan(1);
  await publishPacks(board, 'late', backlog, 37);
  const other = await openBoard(house);
  await Promise.all([
    publishPacks(board, 'late', backlog, 11),
    publishPacks(other, 'late', backlog.toReversed(), 23),
  ]);
  await settled(house);
  expect(lateRows()).toEqual(once.kept);
  expect(once.kept.length).toBe(new Set(backlog.map(({ point, t }) => `${point} ${t}`)).size);
  expect(await house.day('late', DATE)).toEqual(once.day);
  expect(await house.get('/api/tubs/late/months')).toMatchObject({
    items: [{ gainKwh: once.day.gainKwh, litres: once.day.litres, days: 1 }],
  });
  await Promise.all([board.endAsync(), other.endAsync()]);
});
