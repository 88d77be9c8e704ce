import { afterAll, expect, test } from 'vitest';
import { openBoard, openHouse, readingsOf } from './house.ts';
import { builtAt, endAll } from './program.ts';

afterAll(endAll);

test('by a clock that is plainly wrong nothing is stamped, and what has its own time is kept', async () => {
  const main = builtAt(new Date(Date.now() + 365 * 86_400_000));
  const house = await openHouse({ main });
  const board = await openBoard(house);
  const t = Date.parse('2024-03-02T00:00:00Z') / 1000;
  // so far ahead of the clock that a right one would refuse it; who is right is not known here
  const ahead = Math.round(Date.now() / 1000) + 180 * 86_400;
  const send = (point: string, payload: string) =>
    board.publishAsync(`sunsteep/kowhai/${point}`, payload, { qos: 1 });
  await send('tub/temperature', '36.5');
  await send('pump/flow', JSON.stringify([{ t: -30, v: 4 }]));
  await send('collector/inlet', JSON.stringify([{ t, v: 35 }]));
  await send('collector/outlet', JSON.stringify([{ t: ahead, v: 41 }]));
  const kept = await readingsOf(
    house,
    'kowhai',
    'from=2024-01-01T00:00:00Z&to=2100-01-01T00:00:00Z',
  );
  expect(kept).toEqual([
    { point: 'collector/inlet', time: '2024-03-02T00:00:00.000Z', value: 35 },
    { point: 'collector/outlet', time: new Date(ahead * 1000).toISOString(), value: 41 },
  ]);
  const unreadable = await house.unreadable();
  expect(unreadable.map(({ topic, why }) => `${topic}: ${why}`).sort()).toEqual([
    'sunsteep/kowhai/pump/flow: the clock of the service is wrong',
    'sunsteep/kowhai/tub/temperature: the clock of the service is wrong',
  ]);
  const { status, body } = await house.call('GET', '/health', undefined, {});
  expect({ status, body }).toMatchObject({
    status: 200,
    body: { status: 'degraded', clock: { status: 'trouble' } },
  });
  expect(body.reasons.join()).toMatch(/clock/);
  await board.endAsync();
  await house.stop();
});
