import { strFromU8, unzipSync } from 'fflate';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { asPage, asScript, type House, openHouse, T0, viewer } from './house.ts';

let house: House;
beforeAll(async () => {
  house = await openHouse();
  const { setup } = house.watching.setup();
  await house.store.addSetup({ from: Number.NEGATIVE_INFINITY, setup, madeAt: T0 });
  const readings = ['kowhai', 'lower'].map((tub) => ({
    ...{ tub, point: 'tub/temperature', t: T0 - 60_000 },
    value: tub === 'kowhai' ? 36.5 : 12.25,
  }));
  await house.store.keep({ readings, unreadable: [], at: T0 });
});
afterAll(() => {
  house.app.server.closeAllConnections();
  return house.close();
});

const address = (tub = 'kowhai', query = 'from=2026-02-27&to=2026-03-01') =>
  `/api/tubs/${tub}/handover?${query}`;
const ask = (url: string, headers: Record<string, string> = asScript) =>
  house.app.inject({ url, headers });

test('a hand-over file comes as one to keep, and stays out of every cache', async () => {
  const answer = await ask(address());
  expect(answer.statusCode).toBe(200);
  expect(answer.headers).toMatchObject({
    'content-type': 'application/zip',
    'content-disposition': 'attachment; filename="handover-kowhai-2026-02-27-2026-03-01.zip"',
    'cache-control': 'no-store',
  });
  const files = unzipSync(answer.rawPayload);
  const rows = strFromU8(files['readings.csv']!).trim().split('\n');
  expect(rows).toEqual([
    'time,tub,point,value',
    expect.stringMatching(/,kowhai,tub\/tem.*,36\.5$/),
  ]);
  for (const bytes of Object.values(files)) expect(strFromU8(bytes)).not.toContain('lower');
});

test('who may not see the set-up gets none, and nobody gets another tub', async () => {
  const all = await house.pair();
  const looking = await house.pair(viewer);
  const lower = await house.pair({ tubs: ['lower'] });
  expect((await ask(address(), {})).statusCode).toBe(401);
  expect((await ask(address(), asPage(looking.cookie))).statusCode).toBe(403);
  expect((await ask(address(), asPage(lower.cookie))).statusCode).toBe(403);
  expect((await ask(address('lower'), asPage(lower.cookie))).statusCode).toBe(200);
  expect((await ask(address(), asPage(all.cookie))).statusCode).toBe(200);
});

test.each([
  ['no days', '', 400],
  ['no last day', 'from=2026-03-01', 400],
  ['days in the wrong order', 'from=2026-03-02&to=2026-03-01', 400],
  ['a date that is none', 'from=2026-02-30&to=2026-03-01', 400],
  ['more days than one may have', 'from=2025-11-29&to=2026-03-01', 400],
])('a call that is wrong is refused: %s', async (_what, query, status) => {
  const answer = await ask(address('kowhai', query));
  expect([answer.statusCode, answer.json().code]).toEqual([status, 'SUNSTEEP_CALL_INVALID']);
});

test('the longest span is taken, and a tub that there is not is not found', async () => {
  expect((await ask(address('kowhai', 'from=2025-11-30&to=2026-03-01'))).statusCode).toBe(200);
  expect((await ask(address('nowhere'))).statusCode).toBe(404);
});

test('files that nobody takes in make others wait, and room again once they are gone', async () => {
  const t = Array.from({ length: 200_000 }, (_, i) => T0 - 1000 * i);
  const readings = t.map((at) => ({
    ...{ tub: 'kowhai', point: 'collector/temperature', t: at },
    value: Math.round(1e6 * Math.abs(Math.sin(at))) / 1e5,
  }));
  await house.store.keep({ readings, unreadable: [], at: T0 });
  const url = await house.app.listen({ host: '127.0.0.1', port: 0 });
  const ends = [new AbortController(), new AbortController()];
  const fetched = (signal?: AbortSignal) =>
    fetch(url + address(), { headers: asScript, ...(signal && { signal }) });
  // bodies that are not read: more than lies between the two of us stays in the store
  await Promise.all(ends.map(({ signal }) => fetched(signal)));
  const third = await fetched();
  expect([third.status, (await third.json()).code]).toEqual([429, 'SUNSTEEP_TOO_MANY']);
  for (const end of ends) end.abort();
  let status = 429;
  while (status === 429) {
    const again = await fetched();
    status = again.status;
    await again.arrayBuffer();
  }
  expect(status).toBe(200);
});
