import { once } from 'node:events';
import { connect } from 'node:net';
import { io } from 'socket.io-client';
import { afterAll, expect, test } from 'vitest';
import { openBoard, openHouse, TOKEN } from './house.ts';
import { endAll, until } from './program.ts';

afterAll(endAll);

test('the service ends when asked, whoever is connected, and keeps what it acknowledged', async () => {
  const house = await openHouse();
  const phones = (['websocket', 'polling'] as const).map((transport) =>
    io(house.url, { auth: { token: TOKEN }, reconnection: false, transports: [transport] }),
  );
  await Promise.all(
    phones.map((phone) => new Promise((done) => phone.once('connect', done as never))),
  );
  const board = await openBoard(house);
  board.on('error', () => {});
  const half = connect(house.port, '127.0.0.1');
  half.on('error', () => {});
  const head = `PUT /api/setup HTTP/1.1\r\nHost: a\r\nAuthorization: Bearer ${TOKEN}\r\n`;
  half.write(`${head}Content-Type: application/json\r\nContent-Length: 1000\r\n\r\n{`);
  const idle = connect(house.port, '127.0.0.1');
  idle.write('GET /health HTTP/1.1\r\nHost: a\r\n\r\n');
  await once(idle, 'data');
  await board.publishAsync('sunsteep/kowhai/tub/temperature', '36.5', { qos: 1 });

  house.started.process.kill('SIGTERM');
  let ended: { code: number | null } | null = null;
  void house.started.ended.then((code) => {
    ended = { code };
  });
  expect(await until('the end', () => ended, 20_000)).toEqual({ code: 0 });
  for (const phone of phones) phone.close();
  half.destroy();
  idle.destroy();
  board.end(true);
  expect(house.started.err()).not.toMatch(/"level":[56]0/);

  const again = await openHouse({ folder: house.folder });
  expect((await again.now('kowhai')).values['tub/temperature']?.value).toBe(36.5);
  await again.stop();
});
