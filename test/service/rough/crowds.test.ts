import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { afterAll, expect, test } from 'vitest';
import { openBoard, openHouse, readingsOf } from '../live/house.ts';
import { endAll } from '../live/program.ts';
import { pageWatcher, residentMb } from './page-watcher.ts';
import { RawBoard } from './raw-board.ts';

afterAll(endAll);

const IDLE = 1_000;
/** Most connections of one address. */
const EACH = 200;

/** All of a crowd, some at a time. */
async function crowd<T>(one: (n: number) => Promise<T>): Promise<T[]> {
  const all: T[] = [];
  while (all.length < IDLE) {
    all.push(...(await Promise.all(Array.from({ length: 50 }, (_, i) => one(all.length + i)))));
  }
  return all;
}

const isOpen = (socket: Socket) => !socket.destroyed && socket.readyState === 'open';

test('a thousand boards and a thousand phones that only hold the line leave room for others', async () => {
  const house = await openHouse();
  const pid = house.started.process.pid!;
  const before = residentMb(pid);
  const boards = await crowd((n) =>
    RawBoard.open(house, `idle-${n}`, `127.0.0.${2 + Math.floor(n / EACH)}`),
  );
  await expect(RawBoard.open(house, 'one-more', '127.0.0.2')).rejects.toThrow();
  const phones = await crowd(async (n) => {
    const socket = connect(house.port, '127.0.0.1');
    socket.on('error', () => {});
    await once(socket, 'connect');
    // some keep quiet, some have begun to ask
    if (n % 2 === 0) socket.write('GET /api/tubs HTTP/1.1\r\nhost: ');
    return socket;
  });
  const page = pageWatcher(house, '/api/tubs');
  const board = await openBoard(house);
  const t = Date.parse('2024-03-02T01:00:00Z');
  for (let n = 0; n < 200; n++) {
    const payload = JSON.stringify([{ t: t / 1000 + n, v: 36 }]);
    await board.publishAsync('sunsteep/kowhai/tub/temperature', payload, { qos: 1 });
  }
  await page.stop();
  const rows = await readingsOf(house, 'kowhai', 'from=2024-01-01T00:00:00Z');
  console.log(
    `${boards.length} boards and ${phones.length} phones that are idle: ${page.tells()}; ` +
      `${before} MB before, ${residentMb(pid)} MB with them`,
  );
  expect(rows).toHaveLength(200);
  expect(boards.filter(({ socket }) => !isOpen(socket))).toEqual([]);
  expect((await house.call('GET', '/')).status).toBe(200);
  const { body } = await house.call('GET', '/health', undefined, {});
  expect(body.status).toBe('ok');
  await board.endAsync();
  expect(await house.stop()).toBe(0);
  for (const { socket } of boards) socket.destroy();
  for (const socket of phones) socket.destroy();
});
